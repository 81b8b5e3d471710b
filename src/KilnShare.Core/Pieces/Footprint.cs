using KilnShare.Core.Common;

namespace KilnShare.Core.Pieces;

/// <summary>A point in the plane, whole micrometres.</summary>
/// <param name="X">To the right, µm.</param>
/// <param name="Y">Away from the loader, µm.</param>
public readonly record struct PlanPoint(long X, long Y);

/// <summary>
/// The outline of something seen from above, about its own origin: of ware, of a shelf, of a chamber, of a keep-out.
/// Circle, rectangle and octagon are centred on the origin; a half circle's origin is the centre of its full circle.
/// </summary>
public abstract record Footprint
{
    private Footprint()
    {
    }

    /// <summary>A disc.</summary>
    /// <param name="Diameter">Across.</param>
    public sealed record Circle(Length Diameter) : Footprint;

    /// <summary>A rectangle with its sides along x and y.</summary>
    /// <param name="Width">Along x.</param>
    /// <param name="Depth">Along y.</param>
    public sealed record Rectangle(Length Width, Length Depth) : Footprint;

    /// <summary>A regular octagon with two flats parallel to x.</summary>
    /// <param name="AcrossFlats">From flat to opposite flat.</param>
    public sealed record Octagon(Length AcrossFlats) : Footprint;

    /// <summary>Half a disc: the flat side on the y axis, the body toward +x.</summary>
    /// <param name="Diameter">Of the full disc.</param>
    public sealed record HalfCircle(Length Diameter) : Footprint;

    /// <summary>A simple polygon, anticlockwise, convex or not.</summary>
    /// <param name="Points">3 to 64 corners.</param>
    public sealed record Polygon(IReadOnlyList<PlanPoint> Points) : Footprint
    {
        /// <summary>Equal when the corners are.</summary>
        public bool Equals(Polygon? other) => other is not null && Points.SequenceEqual(other.Points);

        /// <inheritdoc/>
        public override int GetHashCode() => Points.Aggregate(17, HashCode.Combine);
    }
}
