namespace KilnShare.Core.Loading;

/// <summary>Ways to get one more copy onto a shelf, cheapest first.</summary>
internal sealed class Insertion(Distances distances, LoadOptions options, Meter meter, Dice dice)
{
    private const int Samples = 40;

    /// <summary>Adds one copy without moving anything that stands there; within the window, when there is one.</summary>
    public bool TryPlace(Tray tray, Ware ware, Window? window)
    {
        if (ware.Height > tray.Room.Room) return false;
        if (TryStack(tray, ware)) return true;
        if (!HasArea(tray, ware)) return false;
        var nook = ware.Shape.IsDisc ? Nooks.Find(tray, ware, distances, dice)
            : IsBox(ware) ? BoxNooks.Find(tray, ware, distances, dice, window) : null;
        if (nook is not null)
        {
            tray.Add(nook);
            return true;
        }

        // Among rectangles that lie straight there is hardly ever a place for one that lies askew.
        if (IsBox(ware) && (!ware.Piece.MayTurn || tray.Standings.All(s => IsBox(s.Ware)))) return false;

        var crowd = CrowdOf(tray.Room, tray.Standings, ware, holdOthers: true);
        return crowd.Relocate(crowd.Count - 1, Samples, dice) <= Crowd.Solved && Settle(tray, crowd, ware);
    }

    /// <summary>Adds one copy; what stands on the shelf may be moved to make room.</summary>
    public bool TrySqueeze(Tray tray, Ware ware, int rounds)
    {
        if (ware.Height > tray.Room.Room || !HasArea(tray, ware)) return false;
        var crowd = CrowdOf(tray.Room, tray.Standings, ware, holdOthers: false);
        crowd.Relocate(crowd.Count - 1, Samples, dice);
        return crowd.Squeeze(rounds, options.DescentSteps, meter, dice) && Settle(tray, crowd, ware);
    }

    public static bool IsBox(Ware ware) => ware.Piece.Footprint is Pieces.Footprint.Rectangle;

    /// <summary>The same with a longer search, which also lets what stands there change places.</summary>
    public bool TryHop(Tray tray, Ware ware, int hops)
    {
        if (ware.Height > tray.Room.Room || !HasArea(tray, ware)) return false;
        var crowd = CrowdOf(tray.Room, tray.Standings, ware, holdOthers: false);
        crowd.Relocate(crowd.Count - 1, Samples, dice);
        return crowd.Hop(hops, options.DescentSteps, meter, dice) && Settle(tray, crowd, ware);
    }

    private static bool TryStack(Tray tray, Ware ware)
    {
        if (ware.MostStacked < 2) return false;
        for (var i = 0; i < tray.Standings.Count; i++)
        {
            var standing = tray.Standings[i];
            if (standing.Ware != ware || standing.Count >= ware.MostStacked) continue;
            var higher = standing.WithCount(standing.Count + 1);
            if (!tray.Allows(higher, i)) continue;
            tray.Replace(i, higher);
            return true;
        }

        return false;
    }

    private static bool HasArea(Tray tray, Ware ware) => tray.UsedArea + ware.Shape.Area <= tray.Room.Area;

    private Crowd CrowdOf(TrayRoom room, IReadOnlyList<Standing> standings, Ware ware, bool holdOthers)
    {
        var members = new Member[standings.Count + 1];
        for (var i = 0; i < standings.Count; i++)
        {
            var s = standings[i];
            members[i] = new Member(s.Ware.Shape, s.Height, s.Ware.Piece.MayTurn, s.Ware.Piece.Touch, holdOthers || s.Kept.Count > 0);
        }

        members[^1] = new Member(ware.Shape, ware.Height, ware.Piece.MayTurn, ware.Piece.Touch, false);
        var crowd = new Crowd(room.Region, members, room.Floor, distances.Gap, distances.SearchMargin);
        for (var i = 0; i < standings.Count; i++)
            crowd.Set(i, standings[i].CentreX, standings[i].CentreY, standings[i].Turn * Turning.RadiansPerThousandth);
        return crowd;
    }

    /// <summary>Rounds what the overlap search found to whole micrometres and, if it is sound exactly, lets it stand.</summary>
    private bool Settle(Tray tray, Crowd crowd, Ware ware)
    {
        crowd.FreezeTurns();
        if (crowd.Descend(options.DescentSteps) > Crowd.Solved) return false;
        var all = new List<Standing>(crowd.Count);
        for (var i = 0; i < crowd.Count; i++)
        {
            if (crowd[i].Fixed) all.Add(tray.Standings[i]);
            else all.Add(Standing.At(WareOf(tray, ware, i), CountOf(tray, i), crowd.V[3 * i], crowd.V[(3 * i) + 1], TurnOf(crowd, i)));
        }

        if (!tray.AllowsAll(all)) return false;
        tray.ReplaceAll(all);
        return true;
    }

    private static int TurnOf(Crowd crowd, int i) => crowd[i].Shape.IsDisc || !crowd[i].MayTurn ? 0 : crowd.ThousandthsOf(i);

    private static Ware WareOf(Tray tray, Ware added, int i) => i < tray.Standings.Count ? tray.Standings[i].Ware : added;

    private static int CountOf(Tray tray, int i) => i < tray.Standings.Count ? tray.Standings[i].Count : 1;
}
