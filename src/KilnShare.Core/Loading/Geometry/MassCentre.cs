using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Geometry;

/// <summary>Centres of mass of flat things of even thickness.</summary>
internal static class MassCentre
{
    /// <summary>The centre of mass of a footprint with its origin at (x, y) µm, turned by so many thousandths of a degree; µm.</summary>
    public static (double X, double Y) Of(Footprint footprint, long x, long y, int turn)
    {
        var shape = Shape.Of(footprint);
        var (cos, sin) = Turning.Of(turn);
        var (cx, cy) = footprint is Footprint.HalfCircle half
            ? (4 * (half.Diameter.Micrometres / 2.0) / (3 * Math.PI), 0.0)
            : (shape.CentreX, shape.CentreY);
        return (x + (cos * cx) - (sin * cy), y + (sin * cx) + (cos * cy));
    }
}
