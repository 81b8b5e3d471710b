using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>
/// Lets items change places, so that the ware of each group stands together and items stand where it is as hot as they wish. It must cost nothing:
/// no item leaves the load, no shelf moves, nothing becomes higher.
/// </summary>
internal sealed class Grouping
{


    private readonly LoadInstance instance;
    private readonly IReadOnlyList<(Tray Tray, Func<bool> Balances)> trays;
    private readonly double levelsApart;
    private readonly Dictionary<int, (double X, double Y, double Z, int Count)> sums = [];
    private int looks;
    private int trades;

    private Grouping(LoadInstance instance, IReadOnlyList<(Tray Tray, Func<bool> Balances)> trays)
    {
        (this.instance, this.trays) = (instance, trays);
        // Items on two shelves count as farther apart than any two on one shelf.
        levelsApart = 4 * Math.Sqrt(trays.Max(t => t.Tray.Space.Area));
    }

    /// <summary>The plan after the exchanges; the same plan where there are no groups and no wishes.</summary>
    public static PartialPlan Gather(LoadInstance instance, PartialPlan plan)
    {
        if (plan.Levels.Count == 0 || plan.Kept is not null || plan.Pool.All.DistinctBy(l => (l.Group, l.Wish)).Take(2).Count() < 2) return plan;
        var result = plan.Copy();
        var all = new List<(Tray Tray, Func<bool> Balances)>();
        foreach (var level in result.Levels)
        {
            for (var t = 0; t < level.Trays.Count; t++)
            {
                var (of, at) = (level, t);
                all.Add((level.Trays[t], () => Balancing.IsSound(instance, result.Layout, of, at)));
            }
        }

        var shelfTops = ShelfTopsOf(instance, result);
        return shelfTops is null ? plan : new Grouping(instance, all).Exchange(shelfTops) ? result : plan;
    }

    // Upper face of each tray's shelf, µm over the floor.
    private static List<long>? ShelfTopsOf(LoadInstance instance, PartialPlan plan)
    {
        if (Elevations.Of(instance, plan) is not { } elevation) return null;
        var shelfTops = new List<long>();
        for (var i = 0; i < plan.Levels.Count; i++)
        {
            for (var t = 0; t < plan.Levels[i].Trays.Count; t++)
                shelfTops.Add(elevation.Undersides[i] + plan.Levels[i].Deck.Thickness + plan.Levels[i].OffsetOf(t));
        }

        return shelfTops;
    }

    private bool Exchange(List<long> shelfTops)
    {
        var places = trays.SelectMany((t, i) => Enumerable.Range(0, t.Tray.PlacedItems.Count).Select(s => new Place(i, s, shelfTops[i]))).ToList();
        foreach (var place in places) Count(At(place), place, 1);
        var any = false;
        for (var round = 0; round < FinishingTuning.GroupingRounds; round++)
        {
            var before = any;
            any = false;
            for (var a = 0; a < places.Count; a++)
            {
                for (var b = a + 1; b < places.Count && trades < FinishingTuning.GroupingTrades; b++) any |= TryExchange(places[a], places[b]);
            }

            if (!any) return before;
        }

        return true;
    }

    private bool TryExchange(Place a, Place b)
    {
        var (p, q) = (At(a), At(b));
        if (p.Item == q.Item || (p.Item.Group == q.Item.Group && p.Item.Wish == q.Item.Wish) || p.Kept.Count + q.Kept.Count > 0) return false;
        var alike = AreAlike(p, q);
        if (!alike && (a.Tray != b.Tray || looks >= FinishingTuning.GroupingLooks)) return false;
        if (Gain(p, q, a, b) <= 1) return false;
        if (!alike) looks++;
        trades++;
        if (InPlaceOf(q, p) is not { } atA || InPlaceOf(p, q) is not { } atB || !Set(a, b, atA, atB, p, q, alike)) return false;
        Count(p, a, -1, p);
        Count(q, b, -1, q);
        Count(atA, a, 1);
        Count(atB, b, 1);
        return true;
    }

    private PlacedItem At(Place place) => trays[place.Tray].Tray.PlacedItems[place.Index];

    // Only items of one outline and height change places between shelves: so no level becomes higher.
    private static bool AreAlike(PlacedItem p, PlacedItem q) =>
        p.Height == q.Height && p.Item.Piece.Footprint.Equals(q.Item.Piece.Footprint) && p.Item.Piece.Touch == q.Item.Piece.Touch;

    // With its centre where the other's was, and turned as the other was; null where it may not be turned.
    private static PlacedItem? InPlaceOf(PlacedItem moved, PlacedItem other)
    {
        if (other.Turn != 0 && !moved.Item.Piece.MayTurn) return null;
        return moved.Item.Piece.Footprint.Equals(other.Item.Piece.Footprint)
            ? new PlacedItem(moved.Item, moved.Count, other.X, other.Y, other.Turn)
            : PlacedItem.At(moved.Item, moved.Count, other.CentreX, other.CentreY, moved.Item.Shape.IsDisc ? 0 : other.Turn);
    }

    // Makes the exchange where both shelves stay sound and balanced; else undoes it.
    private bool Set(Place a, Place b, PlacedItem atA, PlacedItem atB, PlacedItem p, PlacedItem q, bool alike)
    {
        var (trayA, trayB) = (trays[a.Tray].Tray, trays[b.Tray].Tray);
        trayA.Replace(a.Index, atA);
        trayB.Replace(b.Index, atB);
        if ((alike || (trayA.Allows(atA, a.Index) && trayB.Allows(atB, b.Index))) && trays[a.Tray].Balances() && trays[b.Tray].Balances()) return true;
        trayA.Replace(a.Index, p);
        trayB.Replace(b.Index, q);
        return false;
    }

    // How much less the groups are scattered (sum of squares about their middles), and how many more wishes are met.
    private double Gain(PlacedItem p, PlacedItem q, Place a, Place b)
    {
        var (pa, qb) = (Point(p, a), Point(q, b));
        double gain = 0;
        if (p.Item.Group != q.Item.Group)
            gain = Scatter(p.Item.Group, pa, pa) - Scatter(p.Item.Group, pa, qb) + Scatter(q.Item.Group, qb, qb) - Scatter(q.Item.Group, qb, pa);
        var unmet = levelsApart * levelsApart * 100;
        return gain + (unmet * (Unmet(p, a) + Unmet(q, b) - Unmet(p, b) - Unmet(q, a)));
    }

    // One item's part of its group's sum of squares, if it stood at another point than it did.
    private double Scatter(int group, (double X, double Y, double Z) was, (double X, double Y, double Z) at)
    {
        if (group < 0) return 0;
        var (x, y, z, n) = sums[group];
        (x, y, z) = (x - was.X + at.X, y - was.Y + at.Y, z - was.Z + at.Z);
        return (at.X * at.X) + (at.Y * at.Y) + (at.Z * at.Z) - (((x * x) + (y * y) + (z * z)) / n);
    }

    private int Unmet(PlacedItem placedItem, Place place) => instance.IsUnmet(placedItem.Item, place.ShelfTop) ? placedItem.Count : 0;

    private void Count(PlacedItem placedItem, Place place, int sign, PlacedItem? was = null)
    {
        if (placedItem.Item.Group < 0) return;
        var (x, y, z) = Point(was ?? placedItem, place);
        var sum = sums.GetValueOrDefault(placedItem.Item.Group);
        sums[placedItem.Item.Group] = (sum.X + (sign * x), sum.Y + (sign * y), sum.Z + (sign * z), sum.Count + sign);
    }

    private (double X, double Y, double Z) Point(PlacedItem placedItem, Place place) => (placedItem.CentreX, placedItem.CentreY, levelsApart * place.Tray);

    private readonly record struct Place(int Tray, int Index, long ShelfTop);
}
