namespace KilnShare.Core.Loading;

/// <summary>Something exact that ware on a shelf keeps from.</summary>
/// <param name="Shape">Its outline.</param>
/// <param name="Clearance">What is owed, µm.</param>
/// <param name="From">It matters to ware that reaches above this, µm over the floor.</param>
/// <param name="To">It matters to ware that begins below this.</param>
internal sealed record Barrier(PlacedShape Shape, long Clearance, long From, long To);

/// <summary>Where ware may stand on one shelf: as the search sees it, and exactly.</summary>
/// <param name="Region">For the search.</param>
/// <param name="Shelf">The shelf's outline.</param>
/// <param name="Chamber">The chamber's outline.</param>
/// <param name="Wall">Owed to the chamber's wall, µm.</param>
/// <param name="Barriers">Posts and keep-outs and shelves passed.</param>
/// <param name="Floor">The shelf's upper face, µm over the floor.</param>
/// <param name="Room">Height of the tallest ware allowed, µm.</param>
internal sealed record TrayRoom(
    Region Region, PlacedShape Shelf, PlacedShape Chamber, long Wall, IReadOnlyList<Barrier> Barriers, long Floor, long Room)
{
    /// <summary>Area of the shelf's outline, µm².</summary>
    public double Area { get; init; }
}

/// <summary>One shelf with what stands on it; always sound.</summary>
internal sealed class Tray(TrayRoom room, Distances distances)
{
    private readonly List<Standing> standings = [];

    public TrayRoom Room { get; } = room;

    public IReadOnlyList<Standing> Standings => standings;

    /// <summary>Changes when anything but adding happens to what stands here.</summary>
    public int Revision { get; private set; }

    /// <summary>Corner places as last looked for; none of the tray's state.</summary>
    public Nooks? Nooks { get; set; }

    public double UsedArea { get; private set; }

    public long Weight { get; private set; }

    public long Tallest { get; private set; }

    public Tray Copy() => CopyInto(Room);

    /// <summary>The same ware with another height over it, no less than it needs.</summary>
    public Tray Under(long room)
    {
        var copy = new Tray(Room with { Room = room }, distances);
        foreach (var standing in standings) copy.Add(standing);
        return copy;
    }

    /// <summary>The same ware under other conditions; what no longer stands soundly is left out.</summary>
    public Tray CopyInto(TrayRoom room)
    {
        var copy = new Tray(room, distances);
        foreach (var standing in standings)
        {
            if (ReferenceEquals(room, Room) || standing.Kept.Count > 0 || copy.Allows(standing)) copy.Add(standing);
        }

        return copy;
    }

    public void Add(Standing standing)
    {
        standings.Add(standing);
        Count(standing);
    }

    public void RemoveAt(int i)
    {
        standings.RemoveAt(i);
        Recount();
    }

    public void Replace(int i, Standing standing)
    {
        standings[i] = standing;
        Recount();
    }

    public void ReplaceAll(IReadOnlyList<Standing> all)
    {
        standings.Clear();
        standings.AddRange(all);
        Recount();
    }

    /// <summary>True when the standing is within the room and far enough from everything but those skipped.</summary>
    public bool Allows(Standing standing, int skip = -1)
    {
        if (standing.Height > Room.Room || !InRoom(standing)) return false;
        for (var i = 0; i < standings.Count; i++)
        {
            if (i != skip && !KeepsFrom(standing, standings[i])) return false;
        }

        return true;
    }

    /// <summary>True when all of these could stand here together.</summary>
    public bool AllowsAll(IReadOnlyList<Standing> all)
    {
        for (var i = 0; i < all.Count; i++)
        {
            if (all[i].Kept.Count == 0 && (all[i].Height > Room.Room || !InRoom(all[i]))) return false;
            for (var j = i + 1; j < all.Count; j++)
            {
                if (!KeepsFrom(all[i], all[j])) return false;
            }
        }

        return true;
    }

    private bool InRoom(Standing standing)
    {
        var margin = distances.Margin;
        // Ware as large as its shelf lies on it: the search keeps its margin from edges, the exact word does not ask for one.
        if (!Exact.Inside(standing.Exact, Room.Shelf, 0) || !Exact.Inside(standing.Exact, Room.Chamber, Room.Wall)) return false;
        foreach (var barrier in Room.Barriers)
        {
            if (barrier.From >= Room.Floor + standing.Height || barrier.To <= Room.Floor) continue;
            if (!Exact.Apart(standing.Exact, barrier.Shape, barrier.Clearance + margin)) return false;
        }

        return true;
    }

    /// <summary>True when the two may stand here together.</summary>
    public bool KeepsFrom(Standing a, Standing b)
    {
        if (a.Kept.Count > 0 && b.Kept.Count > 0) return true;
        var gap = (a.Lot.Piece.Touch && b.Lot.Piece.Touch ? 0 : distances.Gap) + distances.Margin;
        var reach = a.Lot.Shape.Bound + b.Lot.Shape.Bound + gap + 10;
        var (dx, dy) = (a.CentreX - b.CentreX, a.CentreY - b.CentreY);
        return (dx * dx) + (dy * dy) > reach * reach || Exact.Apart(a.Exact, b.Exact, gap);
    }

    private void Recount()
    {
        (UsedArea, Weight, Tallest) = (0, 0, 0);
        Revision++;
        foreach (var s in standings) Count(s);
    }

    private void Count(Standing s)
    {
        UsedArea += s.Lot.Shape.Area;
        Weight += s.Lot.Weight * s.Count;
        Tallest = Math.Max(Tallest, s.Height);
    }
}

/// <summary>Distances of the problem as the search uses them, µm.</summary>
/// <param name="Gap">Between pieces.</param>
/// <param name="Margin">Kept beyond what is asked; exact checks use it.</param>
internal sealed record Distances(long Gap, long Margin)
{
    /// <summary>What the overlap search keeps beyond what is asked: rounding may then eat 5 µm.</summary>
    public double SearchMargin => Margin + 5;
}
