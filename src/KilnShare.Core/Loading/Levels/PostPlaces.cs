using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Levels;

/// <summary>A post's axis, µm.</summary>
internal readonly record struct Axis(long X, long Y);

/// <summary>Chooses where the posts stand: one choice for all levels, since each post stands on one below.</summary>
internal static class PostPlaces
{

    /// <summary>
    /// Three axes, each far enough inside every outline and from the others, that make as wide a triangle as possible about the centres of mass;
    /// null when there are none.
    /// </summary>
    public static Axis[]? Choose(IReadOnlyList<(Footprint Footprint, Seat Seat)> shelves, Func<Axis, bool> isFree, long inset, long apart)
    {
        if (OfDiscs(shelves, inset) is { } three && three.All(isFree) && AreApart(three[0], three[1], apart)
            && Balance(three, [.. shelves.Select(Middle)]) >= LoadLimits.BalanceMarginMicrometres)
            return three;
        var candidates = Candidates(shelves, isFree, inset);
        return Best(candidates, [.. shelves.Select(Middle)], apart);
    }

    /// <summary>The best three of given axes, so far inside every outline and so far from each other; null when there are none.</summary>
    public static Axis[]? ChooseAmong(IReadOnlyList<(Footprint Footprint, Seat Seat)> shelves, IReadOnlyList<Axis> axes, long inset, long apart)
    {
        var good = axes.Where(a => shelves.All(s => Exact.PointInside(a.X, a.Y, s.Seat.Shape, inset))).ToList();
        return Best(good, [.. shelves.Select(Middle)], apart);
    }

    private static (double X, double Y) Middle((Footprint Footprint, Seat Seat) shelf) =>
        MassCentre.Of(shelf.Footprint, shelf.Seat.X, shelf.Seat.Y, shelf.Seat.Turn);

    /// <summary>How far all the points lie inside the hull of the axes, µm; negative when one is outside.</summary>
    public static double Balance(IReadOnlyList<Axis> axes, IReadOnlyList<(double X, double Y)> points)
    {
        var hull = Plane.Hull(axes.Select(a => ((double)a.X, (double)a.Y)));
        if (hull.Count < 3) return double.NegativeInfinity;
        var least = double.PositiveInfinity;
        for (var i = 0; i < hull.Count; i++)
        {
            var (a, b) = (hull[i], hull[(i + 1) % hull.Count]);
            var length = Plane.Distance(a.X, a.Y, b.X, b.Y);
            foreach (var p in points) least = Math.Min(least, Plane.Cross(a, b, p) / length);
        }

        return least;
    }

    // On round shelves a third of a turn apart: one behind and two in front.
    private static Axis[]? OfDiscs(IReadOnlyList<(Footprint Footprint, Seat Seat)> shelves, long inset)
    {
        var first = shelves[0].Seat;
        if (shelves.Any(s => s.Footprint is not Footprint.Circle || s.Seat.X != first.X || s.Seat.Y != first.Y)) return null;
        var twice = shelves.Min(s => ((Footprint.Circle)s.Footprint).Diameter.Micrometres) - (2 * inset);
        if (twice <= 0) return null;
        var radius = twice / 2.0;
        return [.. new[] { 90_000, 210_000, 330_000 }.Select(turn => Inward(first, radius, turn))];
    }

    private static Axis Inward(Seat seat, double radius, int turn)
    {
        var (cos, sin) = Turning.Of(turn);
        // Rounded inward: even with no inset a post must stand on the shelf below.
        return new Axis(seat.X + (long)Math.Truncate(radius * cos), seat.Y + (long)Math.Truncate(radius * sin));
    }

    private static List<Axis> Candidates(IReadOnlyList<(Footprint Footprint, Seat Seat)> shelves, Func<Axis, bool> isFree, long inset)
    {
        var middles = shelves.Select(Middle).ToList();
        var (mx, my) = (middles.Average(m => m.X), middles.Average(m => m.Y));
        var directions = Enumerable.Range(0, LevelTuning.PostRays).Select(k => Turning.Of(k * (Turning.Full / LevelTuning.PostRays))).ToList();
        foreach (var shelf in shelves)
        {
            for (var c = 0; c < shelf.Seat.Shape.CornersX.Length; c++)
            {
                var (dx, dy) = ((shelf.Seat.Shape.CornersX[c] / 2.0) - mx, (shelf.Seat.Shape.CornersY[c] / 2.0) - my);
                var length = Plane.Distance(dx, dy, 0, 0);
                if (length > 0) directions.Add((dx / length, dy / length));
            }
        }

        var found = new List<Axis>();
        foreach (var (cos, sin) in directions.Distinct())
        {
            if (Farthest(shelves, isFree, inset, mx, my, cos, sin) is { } axis && !found.Contains(axis)) found.Add(axis);
        }

        return found;
    }

    // The farthest point along a ray that is inside every outline: steps outward, then halving.
    private static Axis? Farthest(
        IReadOnlyList<(Footprint Footprint, Seat Seat)> shelves, Func<Axis, bool> isFree, long inset, double mx, double my, double cos, double sin)
    {
        Axis At(double r) => new((long)Math.Round(mx + (r * cos)), (long)Math.Round(my + (r * sin)));
        bool Good(double r) => isFree(At(r)) && shelves.All(s => Exact.PointInside(At(r).X, At(r).Y, s.Seat.Shape, inset));
        const double Step = 10_000;
        var low = -1.0;
        for (double r = 0; r < LoadLimits.MaxLengthMicrometres; r += Step)
        {
            if (Good(r)) low = r;
            else if (low >= 0 && r > low + (20 * Step)) break;
        }

        if (low < 0) return null;
        var high = low + Step;
        while (high - low > 0.5)
        {
            var middle = (low + high) / 2;
            if (Good(middle)) low = middle;
            else high = middle;
        }

        return At(low);
    }

    private static Axis[]? Best(List<Axis> candidates, IReadOnlyList<(double X, double Y)> middles, long apart)
    {
        Axis[]? best = null;
        var bestBalance = (double)LoadLimits.BalanceMarginMicrometres;
        for (var i = 0; i < candidates.Count; i++)
        {
            for (var j = i + 1; j < candidates.Count; j++)
            {
                if (!AreApart(candidates[i], candidates[j], apart)) continue;
                for (var k = j + 1; k < candidates.Count; k++)
                {
                    if (!AreApart(candidates[i], candidates[k], apart) || !AreApart(candidates[j], candidates[k], apart)) continue;
                    var balance = Balance(candidates[i], candidates[j], candidates[k], middles);
                    if (balance > bestBalance + 1) (best, bestBalance) = ([candidates[i], candidates[j], candidates[k]], balance);
                }
            }
        }

        return best;
    }

    private static bool AreApart(Axis a, Axis b, long apart) => Plane.Distance(a.X, a.Y, b.X, b.Y) >= apart;

    private static double Balance(Axis a, Axis b, Axis c, IReadOnlyList<(double X, double Y)> middles)
    {
        var turn = ((double)(b.X - a.X) * (c.Y - a.Y)) - ((double)(b.Y - a.Y) * (c.X - a.X)) < 0 ? -1 : 1;
        var least = double.PositiveInfinity;
        foreach (var (x, y) in middles) least = Math.Min(
            least, Math.Min(turn * LeftBy(a, b, x, y), Math.Min(turn * LeftBy(b, c, x, y), turn * LeftBy(c, a, x, y))));
        return least;
    }

    private static double LeftBy(Axis from, Axis to, double x, double y)
    {
        double dx = to.X - from.X, dy = to.Y - from.Y;
        return ((dx * (y - from.Y)) - (dy * (x - from.X))) / Math.Sqrt((dx * dx) + (dy * dy));
    }
}
