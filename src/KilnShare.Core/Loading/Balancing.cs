namespace KilnShare.Core.Loading;

/// <summary>Keeps the centre of mass of a shelf and its ware inside the hull of its posts.</summary>
internal static class Balancing
{
    // Kept beyond what is asked, so that another way of summing sees the same.
    private const double Reserve = 20;

    /// <summary>Takes ware off the level until every shelf of it balances; what is taken goes back to the pool.</summary>
    public static void Ensure(Setting setting, Design design, Level level, LotPool pool)
    {
        if (!setting.HasPosts) return;
        for (var s = 0; s < level.Trays.Count; s++)
        {
            var (seat, under) = Under(design, level, s);
            Ensure(setting, seat, under, level.Trays[s], pool);
        }
    }

    /// <summary>True when one shelf of a level balances.</summary>
    public static bool IsSound(Setting setting, Design design, Level level, int tray)
    {
        if (!setting.HasPosts) return true;
        var (seat, under) = Under(design, level, tray);
        return IsSound(setting, seat, under, level.Trays[tray]);
    }

    // A shelf of a level and the posts under it.
    private static (Seat Seat, Axis[] Axes) Under(Design design, Level level, int tray)
    {
        if (tray >= level.Deck.Seats.Count) return (level.Halves[tray - level.Deck.Seats.Count].Seat, level.Halves[tray - level.Deck.Seats.Count].Axes);
        var seat = level.Deck.Seats[tray];
        return (seat, [.. design.AxesOf(level.Deck).Union(level.MoreAxes).Where(a => Exact.PointInside(a.X, a.Y, seat.Shape, 0))]);
    }

    /// <summary>The same for shelves that stay; false where what must stay on one does not balance alone.</summary>
    public static bool Ensure(Setting setting, KeptBase kept, LotPool pool)
    {
        for (var s = 0; s < kept.Trays.Count; s++)
        {
            if (kept.Under[s].Length > 0 && !Ensure(setting, kept.Seats[s], kept.Under[s], kept.Trays[s], pool)) return false;
        }

        return true;
    }

    private static bool Ensure(Setting setting, Seat seat, IReadOnlyList<Axis> under, Tray tray, LotPool pool)
    {
        while (!IsSound(setting, seat, under, tray))
        {
            if (Worst(setting, seat, under, tray) is not { } worst) return false;
            pool.Waiting[tray.Standings[worst].Lot.Index] += tray.Standings[worst].Count;
            tray.RemoveAt(worst);
        }

        return true;
    }

    public static bool IsSound(Setting setting, Seat seat, IReadOnlyList<Axis> under, Tray tray) =>
        PostPlaces.Balance(under, [Middle(setting, seat, tray, -1)]) >= LoadLimits.BalanceMarginMicrometres + Reserve;

    private static int? Worst(Setting setting, Seat seat, IReadOnlyList<Axis> under, Tray tray)
    {
        int? worst = null;
        var best = double.NegativeInfinity;
        for (var i = 0; i < tray.Standings.Count; i++)
        {
            if (tray.Standings[i].Kept.Count > 0) continue;
            var balance = PostPlaces.Balance(under, [Middle(setting, seat, tray, i)]);
            if (balance > best) (worst, best) = (i, balance);
        }

        return worst;
    }

    private static (double X, double Y) Middle(Setting setting, Seat seat, Tray tray, int without)
    {
        var kind = setting.Problem.Furniture.Shelves[seat.Kind];
        var own = setting.AreaOf(seat) * kind.Thickness.Micrometres * 1e-15 * (double)LoadLimits.ShelfDensityKgPerM3;
        var mass = (double?)kind.MassG ?? own;
        var (mx, my) = PostPlaces.Middle((kind.Footprint, seat));
        if (mass <= 0 && tray.Standings.All(s => s.Lot.Mass <= 0)) return (mx, my);
        var (sumX, sumY) = (mass * mx, mass * my);
        for (var i = 0; i < tray.Standings.Count; i++)
        {
            if (i == without) continue;
            var standing = tray.Standings[i];
            var (x, y) = MassCentre(standing);
            var m = standing.Lot.Mass * standing.Count;
            (mass, sumX, sumY) = (mass + m, sumX + (m * x), sumY + (m * y));
        }

        return mass <= 0 ? (mx, my) : (sumX / mass, sumY / mass);
    }

    private static (double X, double Y) MassCentre(Standing standing)
    {
        if (standing.Lot.Piece.Footprint is not Pieces.Footprint.HalfCircle half) return (standing.CentreX, standing.CentreY);
        var (cos, sin) = Turning.Of(standing.Turn);
        var reach = 4 * (half.Diameter.Micrometres / 2.0) / (3 * Math.PI);
        return (standing.X + (cos * reach), standing.Y + (sin * reach));
    }
}
