namespace KilnShare.Core.Loading;

/// <summary>Ways to get one more copy onto a shelf, cheapest first.</summary>
internal sealed partial class Insertion(Distances distances, LoadOptions options, Meter meter, Dice dice)
{
    private const int Samples = 40;

    /// <summary>Adds one copy without moving anything that stands there; within the window, when there is one.</summary>
    public bool TryPlace(Tray tray, Lot lot, Window? window)
    {
        if (lot.Height > tray.Room.Room) return false;
        if (TryStack(tray, lot)) return true;
        return HasArea(tray, lot) && (TryAnywhere(tray, lot, window) || TryTightly(tray, lot));
    }

    private bool TryAnywhere(Tray tray, Lot lot, Window? window)
    {
        var nook = lot.Shape.IsDisc ? Nooks.Find(tray, lot, distances, dice)
            : IsBox(lot) ? BoxNooks.Find(tray, lot, distances, dice, window) : null;
        if (nook is not null)
        {
            tray.Add(nook);
            return true;
        }

        if (lot.Shape.IsDisc && Nooks.TellAll(tray)) return false;

        // Among rectangles that lie straight there is hardly ever a place for one that lies askew.
        if (IsBox(lot) && (!lot.Piece.MayTurn || tray.Standings.All(s => IsBox(s.Lot)))) return false;

        var crowd = CrowdOf(tray.Room, tray.Standings, lot, holdOthers: true);
        return crowd.Relocate(crowd.Count - 1, Samples, dice) <= Crowd.Solved && Settle(tray, crowd, lot);
    }

    private static bool TryTightly(Tray tray, Lot lot)
    {
        if (TightPlaces.Find(tray, lot) is not { } place) return false;
        tray.Add(place);
        return true;
    }

    /// <summary>Adds one copy; what stands on the shelf may be moved to make room.</summary>
    public bool TrySqueeze(Tray tray, Lot lot, int rounds)
    {
        if (lot.Height > tray.Room.Room || !HasArea(tray, lot)) return false;
        var crowd = CrowdOf(tray.Room, tray.Standings, lot, holdOthers: false);
        crowd.Relocate(crowd.Count - 1, Samples, dice);
        return crowd.Squeeze(rounds, options.DescentSteps, meter, dice) && Settle(tray, crowd, lot);
    }

    /// <summary>Adds one copy; only so many of what stands nearest to its place may be moved to make room.</summary>
    public bool TryNudge(Tray tray, Lot lot, int moving, int rounds)
    {
        if (lot.Height > tray.Room.Room || !HasArea(tray, lot)) return false;
        var held = CrowdOf(tray.Room, tray.Standings, lot, holdOthers: true);
        held.Relocate(held.Count - 1, Samples, dice);
        var (x, y) = (held.V[^3], held.V[^2]);
        var near = Enumerable.Range(0, tray.Standings.Count).Where(i => tray.Standings[i].Kept.Count == 0)
            .OrderBy(i => Geometry.Distance(tray.Standings[i].CentreX, tray.Standings[i].CentreY, x, y)).Take(moving).ToHashSet();
        var crowd = CrowdOf(tray.Room, tray.Standings, lot, holdOthers: true, near);
        crowd.Set(crowd.Count - 1, x, y, held.V[^1]);
        return crowd.Squeeze(rounds, options.DescentSteps, meter, dice) && Settle(tray, crowd, lot);
    }

    public static bool IsBox(Lot lot) => lot.Piece.Footprint is Pieces.Footprint.Rectangle;

    /// <summary>The same with a longer search, which also lets what stands there change places.</summary>
    public bool TryHop(Tray tray, Lot lot, int hops)
    {
        if (lot.Height > tray.Room.Room || !HasArea(tray, lot)) return false;
        var crowd = CrowdOf(tray.Room, tray.Standings, lot, holdOthers: false);
        crowd.Relocate(crowd.Count - 1, Samples, dice);
        return crowd.Hop(hops, options.DescentSteps, meter, dice) && Settle(tray, crowd, lot);
    }

    private static bool TryStack(Tray tray, Lot lot)
    {
        if (lot.MostStacked < 2) return false;
        for (var i = 0; i < tray.Standings.Count; i++)
        {
            var standing = tray.Standings[i];
            if (standing.Lot != lot || standing.Count >= lot.MostStacked) continue;
            var higher = standing.WithCount(standing.Count + 1);
            if (!tray.Allows(higher, i)) continue;
            tray.Replace(i, higher);
            return true;
        }

        return false;
    }

    private static bool HasArea(Tray tray, Lot lot) => tray.UsedArea + lot.Shape.Area <= tray.Room.Area;

    private Crowd CrowdOf(TrayRoom room, IReadOnlyList<Standing> standings, Lot lot, bool holdOthers, HashSet<int>? but = null)
    {
        var members = new Member[standings.Count + 1];
        for (var i = 0; i < standings.Count; i++)
        {
            var s = standings[i];
            members[i] = new Member(s.Lot.Shape, s.Height, s.Lot.Piece.MayTurn, s.Lot.Piece.Touch, s.Kept.Count > 0 || (holdOthers && but?.Contains(i) != true));
        }

        members[^1] = new Member(lot.Shape, lot.Height, lot.Piece.MayTurn, lot.Piece.Touch, false);
        var crowd = new Crowd(room.Region, members, room.Floor, distances.Gap, distances.SearchMargin);
        for (var i = 0; i < standings.Count; i++)
            crowd.Set(i, standings[i].CentreX, standings[i].CentreY, standings[i].Turn * Turning.RadiansPerThousandth);
        return crowd;
    }

    /// <summary>Rounds what the overlap search found to whole micrometres and, if it is sound exactly, lets it stand.</summary>
    private bool Settle(Tray tray, Crowd crowd, Lot lot)
    {
        crowd.FreezeTurns();
        if (crowd.Descend(options.DescentSteps) > Crowd.Solved) return false;
        var all = new List<Standing>(crowd.Count);
        for (var i = 0; i < crowd.Count; i++)
        {
            if (crowd[i].Fixed) all.Add(tray.Standings[i]);
            else all.Add(Standing.At(LotOf(tray, lot, i), CountOf(tray, i), crowd.XOf(i), crowd.YOf(i), TurnOf(crowd, i)));
        }

        if (!tray.AllowsAll(all)) return false;
        tray.ReplaceAll(all);
        return true;
    }

    private static int TurnOf(Crowd crowd, int i) => crowd[i].Shape.IsDisc || !crowd[i].MayTurn ? 0 : crowd.ThousandthsOf(i);

    private static Lot LotOf(Tray tray, Lot added, int i) => i < tray.Standings.Count ? tray.Standings[i].Lot : added;

    private static int CountOf(Tray tray, int i) => i < tray.Standings.Count ? tray.Standings[i].Count : 1;
}
