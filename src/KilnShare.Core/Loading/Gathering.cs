namespace KilnShare.Core.Loading;

/// <summary>
/// Exchanges places so that the ware of each group stands together and pieces stand where it is as hot as they ask, where it costs nothing:
/// no piece leaves the load, no shelf moves, nothing becomes higher.
/// </summary>
internal sealed class Gathering
{
    // Rounds over all pairs; few are ever needed.
    private const int MostRounds = 4;

    // Exchanges looked at closely, and made, at most, so that a large load is not held up.
    private const int MostLooks = 400;
    private const int MostTrades = 1_000;

    private readonly Setting setting;
    private readonly IReadOnlyList<(Tray Tray, Func<bool> Balances)> trays;
    private readonly double levelsApart;
    private readonly Dictionary<int, (double X, double Y, double Z, int Count)> sums = [];
    private int looks;
    private int trades;

    private Gathering(Setting setting, IReadOnlyList<(Tray Tray, Func<bool> Balances)> trays)
    {
        (this.setting, this.trays) = (setting, trays);
        // Two shelves are farther apart than anything on one.
        levelsApart = 4 * Math.Sqrt(trays.Max(t => t.Tray.Room.Area));
    }

    /// <summary>The pile with ware exchanged; nothing is done where nobody asks for anything.</summary>
    public static Pile Gather(Setting setting, Pile pile)
    {
        if (pile.Levels.Count == 0 || pile.Kept is not null || pile.Pool.All.DistinctBy(l => (l.Group, l.Wish)).Take(2).Count() < 2) return pile;
        var result = pile.Copy();
        var all = new List<(Tray Tray, Func<bool> Balances)>();
        foreach (var level in result.Levels)
        {
            for (var t = 0; t < level.Trays.Count; t++)
            {
                var (of, at) = (level, t);
                all.Add((level.Trays[t], () => Balancing.IsSound(setting, result.Design, of, at)));
            }
        }

        var floors = FloorsOf(setting, result);
        return floors is null ? pile : new Gathering(setting, all).Exchange(floors) ? result : pile;
    }

    // Upper face of each tray's shelf, µm over the floor.
    private static List<long>? FloorsOf(Setting setting, Pile pile)
    {
        if (Elevations.Of(setting, pile) is not { } elevation) return null;
        var floors = new List<long>();
        for (var i = 0; i < pile.Levels.Count; i++)
        {
            for (var t = 0; t < pile.Levels[i].Trays.Count; t++)
                floors.Add(elevation.Undersides[i] + pile.Levels[i].Deck.Thickness + pile.Levels[i].OffsetOf(t));
        }

        return floors;
    }

    private bool Exchange(List<long> floors)
    {
        var places = trays.SelectMany((t, i) => Enumerable.Range(0, t.Tray.Standings.Count).Select(s => new Place(i, s, floors[i]))).ToList();
        foreach (var place in places) Count(At(place), place, 1);
        var any = false;
        for (var round = 0; round < MostRounds; round++)
        {
            var before = any;
            any = false;
            for (var a = 0; a < places.Count; a++)
            {
                for (var b = a + 1; b < places.Count && trades < MostTrades; b++) any |= TryExchange(places[a], places[b]);
            }

            if (!any) return before;
        }

        return true;
    }

    private bool TryExchange(Place a, Place b)
    {
        var (p, q) = (At(a), At(b));
        if (p.Lot == q.Lot || (p.Lot.Group == q.Lot.Group && p.Lot.Wish == q.Lot.Wish) || p.Kept.Count + q.Kept.Count > 0) return false;
        var alike = AreAlike(p, q);
        if (!alike && (a.Tray != b.Tray || looks >= MostLooks)) return false;
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

    private Standing At(Place place) => trays[place.Tray].Tray.Standings[place.Index];

    // Of one outline, height and stacking: between shelves only such change places, so that no level becomes higher.
    private static bool AreAlike(Standing p, Standing q) =>
        p.Height == q.Height && p.Lot.Piece.Footprint.Equals(q.Lot.Piece.Footprint) && p.Lot.Piece.Touch == q.Lot.Piece.Touch;

    // The outline turned as the other was where that is allowed, its centre where the other's was.
    private static Standing? InPlaceOf(Standing moved, Standing other)
    {
        if (other.Turn != 0 && !moved.Lot.Piece.MayTurn) return null;
        return moved.Lot.Piece.Footprint.Equals(other.Lot.Piece.Footprint)
            ? new Standing(moved.Lot, moved.Count, other.X, other.Y, other.Turn)
            : Standing.At(moved.Lot, moved.Count, other.CentreX, other.CentreY, moved.Lot.Shape.IsDisc ? 0 : other.Turn);
    }

    // Exchanged if that is sound and balanced; else left as it was.
    private bool Set(Place a, Place b, Standing atA, Standing atB, Standing p, Standing q, bool alike)
    {
        var (trayA, trayB) = (trays[a.Tray].Tray, trays[b.Tray].Tray);
        trayA.Replace(a.Index, atA);
        trayB.Replace(b.Index, atB);
        if ((alike || (trayA.Allows(atA, a.Index) && trayB.Allows(atB, b.Index))) && trays[a.Tray].Balances() && trays[b.Tray].Balances()) return true;
        trayA.Replace(a.Index, p);
        trayB.Replace(b.Index, q);
        return false;
    }

    // By how much the groups' scatter (sum of squares about their middles) and the unmet wishes shrink.
    private double Gain(Standing p, Standing q, Place a, Place b)
    {
        var (pa, qb) = (Point(p, a), Point(q, b));
        double gain = 0;
        if (p.Lot.Group != q.Lot.Group)
            gain = Scatter(p.Lot.Group, pa, pa) - Scatter(p.Lot.Group, pa, qb) + Scatter(q.Lot.Group, qb, qb) - Scatter(q.Lot.Group, qb, pa);
        var unmet = levelsApart * levelsApart * 100;
        return gain + (unmet * (Unmet(p, a) + Unmet(q, b) - Unmet(p, b) - Unmet(q, a)));
    }

    // The part of a group's sum of squares that one of its members makes when it stands at a point instead of where it did.
    private double Scatter(int group, (double X, double Y, double Z) was, (double X, double Y, double Z) at)
    {
        if (group < 0) return 0;
        var (x, y, z, n) = sums[group];
        (x, y, z) = (x - was.X + at.X, y - was.Y + at.Y, z - was.Z + at.Z);
        return (at.X * at.X) + (at.Y * at.Y) + (at.Z * at.Z) - (((x * x) + (y * y) + (z * z)) / n);
    }

    private int Unmet(Standing standing, Place place) => setting.IsUnmet(standing.Lot, place.Floor) ? standing.Count : 0;

    private void Count(Standing standing, Place place, int sign, Standing? was = null)
    {
        if (standing.Lot.Group < 0) return;
        var (x, y, z) = Point(was ?? standing, place);
        var sum = sums.GetValueOrDefault(standing.Lot.Group);
        sums[standing.Lot.Group] = (sum.X + (sign * x), sum.Y + (sign * y), sum.Z + (sign * z), sum.Count + sign);
    }

    private (double X, double Y, double Z) Point(Standing standing, Place place) => (standing.CentreX, standing.CentreY, levelsApart * place.Tray);

    private readonly record struct Place(int Tray, int Index, long Floor);
}
