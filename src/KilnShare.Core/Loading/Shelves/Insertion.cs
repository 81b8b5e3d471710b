using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Overlap;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>Ways to get one more copy onto a shelf, cheapest first.</summary>
internal sealed class Insertion(Distances distances, SearchContext context)
{
    private readonly LoadOptions options = context.Options;
    private readonly SeededRandom random = context.Random;


    /// <summary>Adds one copy without moving anything that stands there; within the window, when there is one.</summary>
    public bool TryPlace(Tray tray, Item item, Window? window)
    {
        if (item.Height > tray.Space.Height) return false;
        if (TryStack(tray, item)) return true;
        return HasArea(tray, item) && (TryAnywhere(tray, item, window) || TryTightly(tray, item));
    }

    private bool TryAnywhere(Tray tray, Item item, Window? window)
    {
        var nook = item.Shape.IsDisc ? DiscCorners.Find(tray, item, distances, random)
            : IsRectangle(item) ? RectangleCorners.Find(tray, item, distances, random, window) : null;
        if (nook is not null)
        {
            tray.Add(nook);
            return true;
        }

        if (item.Shape.IsDisc && DiscCorners.TellAll(tray)) return false;

        // Among rectangles that lie straight there is hardly ever a place for one that does not.
        if (IsRectangle(item) && (!item.Piece.MayTurn || tray.PlacedItems.All(s => IsRectangle(s.Item)))) return false;

        var overlap = OverlapOf(tray.Space, tray.PlacedItems, item, holdOthers: true);
        return overlap.Relocate(overlap.Model.Count - 1, ShelfTuning.PlacesSampled, random) <= Descent.Solved && Settle(tray, overlap, item);
    }

    private static bool TryTightly(Tray tray, Item item)
    {
        if (TightPlaces.Find(tray, item) is not { } place) return false;
        tray.Add(place);
        return true;
    }

    /// <summary>Adds one copy; what stands on the shelf may be moved to make room.</summary>
    public bool TrySqueeze(Tray tray, Item item, int rounds)
    {
        if (item.Height > tray.Space.Height || !HasArea(tray, item)) return false;
        var overlap = OverlapOf(tray.Space, tray.PlacedItems, item, holdOthers: false);
        overlap.Relocate(overlap.Model.Count - 1, ShelfTuning.PlacesSampled, random);
        return overlap.Squeeze(rounds, options.DescentSteps, context) && Settle(tray, overlap, item);
    }

    /// <summary>Adds one copy; only so many items near its place may be moved to make room.</summary>
    public bool TryNudge(Tray tray, Item item, int moving, int rounds)
    {
        if (item.Height > tray.Space.Height || !HasArea(tray, item)) return false;
        var held = OverlapOf(tray.Space, tray.PlacedItems, item, holdOthers: true);
        held.Relocate(held.Model.Count - 1, ShelfTuning.PlacesSampled, random);
        // These are the last three turns in the positions, not the place that was found. Recorded plans depend on it.
        var (x, y) = (held.Model.V[^3], held.Model.V[^2]);
        var near = Enumerable.Range(0, tray.PlacedItems.Count).Where(i => tray.PlacedItems[i].Kept.Count == 0)
            .OrderBy(i => Plane.Distance(tray.PlacedItems[i].CentreX, tray.PlacedItems[i].CentreY, x, y)).Take(moving).ToHashSet();
        var overlap = OverlapOf(tray.Space, tray.PlacedItems, item, holdOthers: true, near);
        overlap.Model.Set(overlap.Model.Count - 1, x, y, held.Model.V[^1]);
        return overlap.Squeeze(rounds, options.DescentSteps, context) && Settle(tray, overlap, item);
    }

    public static bool IsRectangle(Item item) => item.Piece.Footprint is Pieces.Footprint.Rectangle;

    /// <summary>The same with a longer search, which also lets what stands there change places.</summary>
    public bool TryHop(Tray tray, Item item, int hops)
    {
        if (item.Height > tray.Space.Height || !HasArea(tray, item)) return false;
        var overlap = OverlapOf(tray.Space, tray.PlacedItems, item, holdOthers: false);
        overlap.Relocate(overlap.Model.Count - 1, ShelfTuning.PlacesSampled, random);
        return overlap.Hop(hops, options.DescentSteps, context) && Settle(tray, overlap, item);
    }

    /// <summary>Takes one item off and puts a copy in its place; other items may be moved. Where that fails, the item is off all the same.</summary>
    public bool TryInstead(Tray tray, int placedItem, Item item, int rounds)
    {
        var goes = tray.PlacedItems[placedItem];
        tray.RemoveAt(placedItem);
        if (item.Height > tray.Space.Height || !HasArea(tray, item)) return false;
        var overlap = OverlapOf(tray.Space, tray.PlacedItems, item, holdOthers: false);
        overlap.Model.Set(overlap.Model.Count - 1, goes.CentreX, goes.CentreY, item.Piece.MayTurn ? goes.Turn * Turning.RadiansPerThousandth : 0);
        return overlap.Squeeze(rounds, options.DescentSteps, context) && Settle(tray, overlap, item);
    }

    private static bool TryStack(Tray tray, Item item)
    {
        if (item.MostStacked < 2) return false;
        for (var i = 0; i < tray.PlacedItems.Count; i++)
        {
            var placedItem = tray.PlacedItems[i];
            if (placedItem.Item != item || placedItem.Count >= item.MostStacked) continue;
            var higher = placedItem.WithCount(placedItem.Count + 1);
            if (!tray.Allows(higher, i)) continue;
            tray.Replace(i, higher);
            return true;
        }

        return false;
    }

    private static bool HasArea(Tray tray, Item item) => tray.UsedArea + item.Shape.Area <= tray.Space.Area;

    private OverlapSearch OverlapOf(TraySpace space, IReadOnlyList<PlacedItem> placedItems, Item item, bool holdOthers, HashSet<int>? but = null)
    {
        var items = new OverlapItem[placedItems.Count + 1];
        for (var i = 0; i < placedItems.Count; i++)
        {
            var s = placedItems[i];
            items[i] = new OverlapItem(
                s.Item.Shape, s.Height, s.Item.Piece.MayTurn, s.Item.Piece.Touch, s.Kept.Count > 0 || (holdOthers && but?.Contains(i) != true));
        }

        items[^1] = new OverlapItem(item.Shape, item.Height, item.Piece.MayTurn, item.Piece.Touch, false);
        var overlap = new OverlapSearch(space.Region, items, space.ShelfTop, distances.Gap, distances.SearchMargin);
        for (var i = 0; i < placedItems.Count; i++)
            overlap.Model.Set(i, placedItems[i].CentreX, placedItems[i].CentreY, placedItems[i].Turn * Turning.RadiansPerThousandth);
        return overlap;
    }

    /// <summary>Rounds what the overlap search found to whole micrometres and takes it over if it is exactly sound.</summary>
    private bool Settle(Tray tray, OverlapSearch overlap, Item item)
    {
        overlap.Model.FreezeTurns();
        if (overlap.Descend(options.DescentSteps) > Descent.Solved) return false;
        var all = new List<PlacedItem>(overlap.Model.Count);
        for (var i = 0; i < overlap.Model.Count; i++)
        {
            if (overlap.Model[i].Fixed) all.Add(tray.PlacedItems[i]);
            else all.Add(
                PlacedItem.At(ItemOf(tray, item, i), CountOf(tray, i), overlap.Model.V[i], overlap.Model.V[overlap.Model.YAt + i], TurnOf(overlap, i)));
        }

        if (!tray.AllowsAll(all)) return false;
        tray.ReplaceAll(all);
        return true;
    }

    private static int TurnOf(OverlapSearch overlap, int i) => overlap.Model[i].Shape.IsDisc || !overlap.Model[i].MayTurn ? 0 : overlap.Model.ThousandthsOf(i);

    private static Item ItemOf(Tray tray, Item added, int i) => i < tray.PlacedItems.Count ? tray.PlacedItems[i].Item : added;

    private static int CountOf(Tray tray, int i) => i < tray.PlacedItems.Count ? tray.PlacedItems[i].Count : 1;
}
