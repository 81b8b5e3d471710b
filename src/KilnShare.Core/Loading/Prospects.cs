namespace KilnShare.Core.Loading;

/// <summary>What can be said of each piece alone: whether any plan at all could hold it.</summary>
internal static class Prospects
{
    // Turns nearer to each other than this are not told apart: then nothing is proven, thousandths of a degree.
    private const int FinestTurn = 50;

    // Depths below this are taken for fitting, µm.
    private const double Slack = 3;

    /// <summary>Why no plan can hold the piece, by piece; null where one might.</summary>
    public static UnplacedReason?[] Of(Setting setting, IReadOnlyList<Lot> lots)
    {
        var seats = setting.AllDecks.SelectMany(d => d.Seats).DistinctBy(s => s.Kind).ToList();
        var known = new Dictionary<(Pieces.Footprint, bool), bool>();
        return [.. lots.Select(w => Judge(setting, w, seats, known))];
    }

    private static UnplacedReason? Judge(Setting setting, Lot lot, List<Seat> seats, Dictionary<(Pieces.Footprint, bool), bool> known)
    {
        if (setting.Lowest is not { } lowest || seats.Count == 0) return UnplacedReason.CannotFit;
        var thinnest = seats.Min(s => setting.Problem.Furniture.Shelves[s.Kind].Thickness.Micrometres);
        if (lot.Height > setting.Lid - lowest - thinnest) return UnplacedReason.TooTall;
        var key = (lot.Piece.Footprint, lot.Piece.MayTurn);
        if (!known.TryGetValue(key, out var tooWide)) known[key] = tooWide = seats.TrueForAll(s => LiesNowhere(setting, lot, s));
        return tooWide ? UnplacedReason.TooWide : null;
    }

    /// <summary>Proven: the piece alone does not lie on that seat, however turned.</summary>
    private static bool LiesNowhere(Setting setting, Lot lot, Seat seat)
    {
        var room = setting.RoomOf(seat, [], 0, 0);
        var hull = room.Region.WithoutObstacles();
        if (lot.Shape.IsDisc && hull.Discs.Any(d => d.Radius < lot.Shape.Bound)) return true;
        if (FitsRound(hull, lot.Shape.Bound)) return false;
        var crowd = new Crowd(hull, [new Member(lot.Shape, lot.Height, false, false, false)], 0, 0, 0);
        var (minX, maxX, minY, maxY) = hull.Box;
        var (midX, midY) = ((minX + maxX) / 2, (minY + maxY) / 2);
        var across = Geometry.Distance(minX, minY, maxX, maxY);
        var constraints = lot.Shape.Parts.Sum(p => p.X.Length) * crowd.WallCount;
        // In a round region every turn is like every other.
        var round = hull.Planes.Count == 0 && hull.Discs.All(d => d.X == hull.Discs[0].X && d.Y == hull.Discs[0].Y);
        var period = round || lot.Shape.IsDisc || !lot.Piece.MayTurn ? 1 : lot.Shape.Period;
        for (var turn = 0.0; turn < period;)
        {
            crowd.Set(0, midX, midY, turn * Turning.RadiansPerThousandth);
            // At one turn the energy is convex, so there is a least that it cannot be below, and some corner is out by its root mean;
            // an arc is drawn round, and by that much a corner may be out of what the thing itself is in.
            crowd.Descend(400);
            var depth = Math.Sqrt(Math.Max(0, crowd.LeastWithin(2 * across)) / constraints) - Slack - lot.Shape.Excess;
            var step = depth / (lot.Shape.Bound * Turning.RadiansPerThousandth);
            if (depth <= 0 || (period > 1 && step < FinestTurn)) return false;
            turn += step;
        }

        return true;
    }

    private static bool FitsRound(Region region, double bound)
    {
        var (minX, maxX, minY, maxY) = region.Box;
        var (x, y) = ((minX + maxX) / 2, (minY + maxY) / 2);
        return region.Discs.All(d => Geometry.Distance(x, y, d.X, d.Y) + bound <= d.Radius)
            && region.Planes.All(p => (p.Nx * x) + (p.Ny * y) + bound <= p.Limit);
    }
}
