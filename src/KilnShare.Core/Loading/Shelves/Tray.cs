using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>One shelf with what stands on it; always sound.</summary>
internal sealed class Tray(TraySpace space, Distances distances)
{
    private readonly List<PlacedItem> placedItems = [];

    public TraySpace Space { get; } = space;

    public IReadOnlyList<PlacedItem> PlacedItems => placedItems;

    /// <summary>Changes with every change but adding.</summary>
    public int Revision { get; private set; }

    /// <summary>Corner places found last: a cache, no part of the tray's state.</summary>
    public DiscCorners? DiscCorners { get; set; }

    public double UsedArea { get; private set; }

    public long Value { get; private set; }

    public long Tallest { get; private set; }

    public Tray Copy() => CopyInto(Space);

    /// <summary>The same ware under another clear height, which must not be less than it needs.</summary>
    public Tray Under(long clearHeight)
    {
        var copy = new Tray(Space with { Height = clearHeight }, distances);
        foreach (var placedItem in placedItems) copy.Add(placedItem);
        return copy;
    }

    /// <summary>The same ware under other conditions; what no longer stands soundly is left out.</summary>
    public Tray CopyInto(TraySpace other)
    {
        var copy = new Tray(other, distances);
        foreach (var placedItem in placedItems)
        {
            if (ReferenceEquals(other, Space) || placedItem.Kept.Count > 0 || copy.Allows(placedItem)) copy.Add(placedItem);
        }

        return copy;
    }

    public void Add(PlacedItem placedItem)
    {
        placedItems.Add(placedItem);
        Count(placedItem);
    }

    public void RemoveAt(int i)
    {
        placedItems.RemoveAt(i);
        Recount();
    }

    public void Replace(int i, PlacedItem placedItem)
    {
        placedItems[i] = placedItem;
        Recount();
    }

    public void ReplaceAll(IReadOnlyList<PlacedItem> all)
    {
        placedItems.Clear();
        placedItems.AddRange(all);
        Recount();
    }

    /// <summary>True when the item is within the space and far enough from all others but the one skipped.</summary>
    public bool Allows(PlacedItem placedItem, int skip = -1)
    {
        if (placedItem.Height > Space.Height || !IsInSpace(placedItem)) return false;
        for (var i = 0; i < placedItems.Count; i++)
        {
            if (i != skip && !KeepsFrom(placedItem, placedItems[i])) return false;
        }

        return true;
    }

    /// <summary>True when all of these could stand here together.</summary>
    public bool AllowsAll(IReadOnlyList<PlacedItem> all)
    {
        for (var i = 0; i < all.Count; i++)
        {
            if (all[i].Kept.Count == 0 && (all[i].Height > Space.Height || !IsInSpace(all[i]))) return false;
            for (var j = i + 1; j < all.Count; j++)
            {
                if (!KeepsFrom(all[i], all[j])) return false;
            }
        }

        return true;
    }

    private bool IsInSpace(PlacedItem placedItem)
    {
        var margin = distances.Margin;
        // No margin here: the search keeps one, but ware exactly as large as its shelf may lie on it.
        if (!Exact.Inside(placedItem.Exact, Space.Shelf, 0) || !Exact.Inside(placedItem.Exact, Space.Chamber, Space.Wall)) return false;
        foreach (var obstacle in Space.ExactObstacles)
        {
            if (obstacle.From >= Space.ShelfTop + placedItem.Height || obstacle.To <= Space.ShelfTop) continue;
            if (!Exact.Apart(placedItem.Exact, obstacle.Shape, obstacle.Clearance + margin)) return false;
        }

        return true;
    }

    /// <summary>True when the two may stand here together.</summary>
    public bool KeepsFrom(PlacedItem a, PlacedItem b)
    {
        if (a.Kept.Count > 0 && b.Kept.Count > 0) return true;
        var gap = (a.Item.Piece.Touch && b.Item.Piece.Touch ? 0 : distances.Gap) + distances.Margin;
        var reach = a.Item.Shape.Bound + b.Item.Shape.Bound + gap + 10;
        var (dx, dy) = (a.CentreX - b.CentreX, a.CentreY - b.CentreY);
        return (dx * dx) + (dy * dy) > reach * reach || Exact.Apart(a.Exact, b.Exact, gap);
    }

    private void Recount()
    {
        (UsedArea, Value, Tallest) = (0, 0, 0);
        Revision++;
        foreach (var s in placedItems) Count(s);
    }

    private void Count(PlacedItem s)
    {
        UsedArea += s.Item.Shape.Area;
        Value += s.Item.Value * s.Count;
        Tallest = Math.Max(Tallest, s.Height);
    }
}
