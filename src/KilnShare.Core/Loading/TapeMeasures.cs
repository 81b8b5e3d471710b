using KilnShare.Core.Common;
using KilnShare.Core.Loading.Checks;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading;

/// <summary>Where a piece stands on its shelf, as hands find it: by the shelf's edge and by what stands there already.</summary>
/// <param name="Placement">What stands there.</param>
/// <param name="Number">Its number on the shelf, from 1, in the order in which a shelf is filled.</param>
/// <param name="FromEdge">From its outline to the nearest edge of the shelf; below 0 where it stands over.</param>
/// <param name="Beside">The number of the nearest piece that stands there before it; null for the first.</param>
/// <param name="Apart">From its outline to that piece's; null for the first.</param>
public sealed record TapeMeasure(Placement Placement, int Number, Length FromEdge, int? Beside, Length? Apart);

/// <summary>The places on a shelf by distances that a tape measures.</summary>
/// <remarks>Valid for: reading a plan. Accuracy: 1 µm of the true outlines, discs and arcs as such.</remarks>
public static class TapeMeasures
{
    private static readonly Length Row = Length.OfMm(50); // what lies no farther before the one at the back stands in its row (common practice, no source)

    /// <summary>The places in the order of hands: from the back to the front, each row from the left.</summary>
    /// <param name="shelf">The shelf with what stands on it.</param>
    /// <param name="outline">The shelf's own outline.</param>
    /// <param name="footprint">The outline of what stands in a place.</param>
    public static IReadOnlyList<TapeMeasure> Of(PlacedShelf shelf, Footprint outline, Func<Placement, Footprint> footprint)
    {
        var edge = CheckShape.Of(outline, shelf.X.Micrometres, shelf.Y.Micrometres, shelf.RotationThousandths);
        var standing = new List<CheckShape>();
        var measures = new List<TapeMeasure>();
        foreach (var placement in InRows(shelf.Placements))
        {
            var shape = CheckShape.Of(footprint(placement), placement.X.Micrometres, placement.Y.Micrometres, placement.RotationThousandths);
            var (beside, apart) = Nearest(standing, shape);
            measures.Add(new TapeMeasure(placement, measures.Count + 1, InMicrometres(edge.ClearanceOf(shape)), beside, apart));
            standing.Add(shape);
        }

        return measures;
    }

    private static IEnumerable<Placement> InRows(IReadOnlyList<Placement> placements)
    {
        var rest = placements.OrderByDescending(p => p.Y).ToList();
        while (rest.Count > 0)
        {
            var row = rest.TakeWhile(p => rest[0].Y - p.Y <= Row).ToList();
            foreach (var placement in row.OrderBy(p => p.X).ThenByDescending(p => p.Y)) yield return placement;
            rest.RemoveRange(0, row.Count);
        }
    }

    private static (int? Number, Length? Apart) Nearest(List<CheckShape> standing, CheckShape shape)
    {
        var (number, least) = (0, double.MaxValue);
        for (var i = 0; i < standing.Count; i++)
        {
            if (CheckShape.FarApart(standing[i], shape, least) || CheckShape.Distance(standing[i], shape) is var apart && apart >= least) continue;
            (number, least) = (i + 1, CheckShape.Distance(standing[i], shape));
        }

        return number == 0 ? (null, null) : (number, InMicrometres(least));
    }

    private static Length InMicrometres(double length) => new((long)Math.Round(length));
}
