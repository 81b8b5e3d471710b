using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Overlap;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>Whether any plan at all could hold a piece, looked at by itself.</summary>
internal static class Feasibility
{
    // Where a proof would need steps finer than this, it is given up, thousandths of a degree.
    private const int FinestTurn = 50;

    // Depths below this count as fitting, µm.
    private const double Slack = 3;

    /// <summary>Why no plan can hold the piece, by piece; null where one might.</summary>
    public static UnplacedReason?[] Of(LoadInstance instance, IReadOnlyList<Item> items)
    {
        var seats = instance.Decks.SelectMany(d => d.Seats).DistinctBy(s => s.Kind).ToList();
        var known = new Dictionary<(Pieces.Footprint, bool), bool>();
        return [.. items.Select(w => Judge(instance, w, seats, known))];
    }

    private static UnplacedReason? Judge(LoadInstance instance, Item item, List<Seat> seats, Dictionary<(Pieces.Footprint, bool), bool> known)
    {
        if (instance.Lowest is not { } lowest || seats.Count == 0) return UnplacedReason.CannotFit;
        var thinnest = seats.Min(s => instance.Problem.Furniture.Shelves[s.Kind].Thickness.Micrometres);
        if (item.Height > instance.Lid - lowest - thinnest) return UnplacedReason.TooTall;
        var key = (item.Piece.Footprint, item.Piece.MayTurn);
        if (!known.TryGetValue(key, out var tooWide)) known[key] = tooWide = seats.TrueForAll(s => LiesNowhere(instance, item, s));
        return tooWide ? UnplacedReason.TooWide : null;
    }

    /// <summary>Proven: the piece alone does not lie on that seat, however turned.</summary>
    private static bool LiesNowhere(LoadInstance instance, Item item, Seat seat)
    {
        var space = instance.SpaceOf(seat, [], 0, 0);
        var hull = space.Region.WithoutObstacles();
        if (item.Shape.IsDisc && hull.Discs.Any(d => d.Radius < item.Shape.Bound)) return true;
        if (FitsRound(hull, item.Shape.Bound)) return false;
        var overlap = new OverlapSearch(hull, [new OverlapItem(item.Shape, item.Height, false, false, false)], 0, 0, 0);
        var (minX, maxX, minY, maxY) = hull.Box;
        var (midX, midY) = ((minX + maxX) / 2, (minY + maxY) / 2);
        var across = Plane.Distance(minX, minY, maxX, maxY);
        var constraints = item.Shape.Parts.Sum(p => p.X.Length) * (overlap.Model.Walls.Length + overlap.Model.Planes.Length);
        // In a round region every turn is like every other.
        var round = hull.Planes.Count == 0 && hull.Discs.All(d => d.X == hull.Discs[0].X && d.Y == hull.Discs[0].Y);
        var period = round || item.Shape.IsDisc || !item.Piece.MayTurn ? 1 : item.Shape.Period;
        for (var turn = 0.0; turn < period;)
        {
            overlap.Model.Set(0, midX, midY, turn * Turning.RadiansPerThousandth);
            // At one turn the energy is convex. So there is a least energy, and at least one corner is out by the root of its mean. The tangents drawn
            // around an arc reach beyond the real shape, so that much is taken off.
            overlap.Descend(400);
            var depth = Math.Sqrt(Math.Max(0, overlap.LeastWithin(2 * across)) / constraints) - Slack - item.Shape.Excess;
            var step = depth / (item.Shape.Bound * Turning.RadiansPerThousandth);
            if (depth <= 0 || (period > 1 && step < FinestTurn)) return false;
            turn += step;
        }

        return true;
    }

    private static bool FitsRound(Region region, double bound)
    {
        var (minX, maxX, minY, maxY) = region.Box;
        var (x, y) = ((minX + maxX) / 2, (minY + maxY) / 2);
        return region.Discs.All(d => Plane.Distance(x, y, d.X, d.Y) + bound <= d.Radius)
            && region.Planes.All(p => (p.Nx * x) + (p.Ny * y) + bound <= p.Limit);
    }
}
