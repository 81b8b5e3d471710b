using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Levels;

/// <summary>Keeps the centre of mass of a shelf and its ware inside the hull of its posts.</summary>
internal static class Balancing
{
    // Kept beyond the margin asked for, µm, so that the checks, which sum in another order, agree.
    private const double Reserve = 20;

    /// <summary>Takes ware off the level until every shelf of it balances; what is taken goes back to the pool.</summary>
    public static void Ensure(LoadInstance instance, Layout layout, Level level, ItemPool pool)
    {
        if (!instance.HasPosts) return;
        for (var s = 0; s < level.Trays.Count; s++)
        {
            var (seat, under) = Under(layout, level, s);
            Ensure(instance, seat, under, level.Trays[s], pool);
        }
    }

    /// <summary>True when one shelf of a level balances.</summary>
    public static bool IsSound(LoadInstance instance, Layout layout, Level level, int tray)
    {
        if (!instance.HasPosts) return true;
        var (seat, under) = Under(layout, level, tray);
        return IsSound(instance, seat, under, level.Trays[tray]);
    }

    // A shelf of a level and the posts under it.
    private static (Seat Seat, Axis[] Axes) Under(Layout layout, Level level, int tray)
    {
        if (tray >= level.Deck.Seats.Count) return (level.Halves[tray - level.Deck.Seats.Count].Seat, level.Halves[tray - level.Deck.Seats.Count].Axes);
        var seat = level.Deck.Seats[tray];
        return (seat, [.. layout.AxesOf(level.Deck).Union(level.MoreAxes).Where(a => Exact.PointInside(a.X, a.Y, seat.Shape, 0))]);
    }

    /// <summary>The same for shelves that are kept; false where the ware that must stay on one does not balance by itself.</summary>
    public static bool Ensure(LoadInstance instance, KeptBase kept, ItemPool pool)
    {
        for (var s = 0; s < kept.Trays.Count; s++)
        {
            if (kept.Under[s].Length > 0 && !Ensure(instance, kept.Seats[s], kept.Under[s], kept.Trays[s], pool)) return false;
        }

        return true;
    }

    private static bool Ensure(LoadInstance instance, Seat seat, IReadOnlyList<Axis> under, Tray tray, ItemPool pool)
    {
        while (!IsSound(instance, seat, under, tray))
        {
            if (Worst(instance, seat, under, tray) is not { } worst) return false;
            pool.Waiting[tray.PlacedItems[worst].Item.Index] += tray.PlacedItems[worst].Count;
            tray.RemoveAt(worst);
        }

        return true;
    }

    public static bool IsSound(LoadInstance instance, Seat seat, IReadOnlyList<Axis> under, Tray tray) =>
        PostPlaces.Balance(under, [Middle(instance, seat, tray, -1)]) >= LoadLimits.BalanceMarginMicrometres + Reserve;

    private static int? Worst(LoadInstance instance, Seat seat, IReadOnlyList<Axis> under, Tray tray)
    {
        int? worst = null;
        var best = double.NegativeInfinity;
        for (var i = 0; i < tray.PlacedItems.Count; i++)
        {
            if (tray.PlacedItems[i].Kept.Count > 0) continue;
            var balance = PostPlaces.Balance(under, [Middle(instance, seat, tray, i)]);
            if (balance > best) (worst, best) = (i, balance);
        }

        return worst;
    }

    private static (double X, double Y) Middle(LoadInstance instance, Seat seat, Tray tray, int without)
    {
        var kind = instance.Problem.Furniture.Shelves[seat.Kind];
        var own = instance.AreaOf(seat) * kind.Thickness.Micrometres * 1e-15 * (double)LoadLimits.ShelfDensityKgPerM3;
        var mass = (double?)kind.MassG ?? own;
        var (mx, my) = MassCentre.Of(kind.Footprint, seat.X, seat.Y, seat.Turn);
        if (mass <= 0 && tray.PlacedItems.All(s => s.Item.Mass <= 0)) return (mx, my);
        var (sumX, sumY) = (mass * mx, mass * my);
        for (var i = 0; i < tray.PlacedItems.Count; i++)
        {
            if (i == without) continue;
            var placedItem = tray.PlacedItems[i];
            var (x, y) = CentreOf(placedItem);
            var m = placedItem.Item.Mass * placedItem.Count;
            (mass, sumX, sumY) = (mass + m, sumX + (m * x), sumY + (m * y));
        }

        return mass <= 0 ? (mx, my) : (sumX / mass, sumY / mass);
    }

    private static (double X, double Y) CentreOf(PlacedItem placedItem)
    {
        if (placedItem.Item.Piece.Footprint is not Pieces.Footprint.HalfCircle half) return (placedItem.CentreX, placedItem.CentreY);
        var (cos, sin) = Turning.Of(placedItem.Turn);
        var reach = 4 * (half.Diameter.Micrometres / 2.0) / (3 * Math.PI);
        return (placedItem.X + (cos * reach), placedItem.Y + (sin * reach));
    }
}
