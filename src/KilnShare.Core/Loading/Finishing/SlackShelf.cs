using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Overlap;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>One shelf while its room is shared out: where the items stand, which of them must stay, and what each distance is to be.</summary>
internal sealed class SlackShelf
{
    // Kept beyond the least distance, so that no rounding of places makes it shorter, µm.
    private const double Rounding = 3;

    private readonly Tray tray;
    private readonly Distances distances;
    private readonly SearchContext context;
    private readonly bool[] held;
    private readonly bool[] straight;

    public SlackShelf(Tray tray, Distances distances, IReadOnlyList<bool> held, SearchContext context)
    {
        (this.tray, this.distances, this.context) = (tray, distances, context);
        Before = [.. tray.PlacedItems];
        Now = Before;
        straight = new bool[Now.Count];
        this.held = new bool[Now.Count];
        var region = tray.Space.Region;
        // Pieces keep the distance that the nearest two have already, unless that is plenty.
        var floor = Math.Min(Least(Before), FinishingTuning.PlentyBetween) + Rounding - distances.Gap - distances.SearchMargin;
        Easing = new Easing(Now.Count, Now.Count + region.Obstacles.Count, Edges) { Floor = Math.Max(0, floor) };
        for (var i = 0; i < Now.Count; i++)
        {
            if (held[i] || Touches(i)) Hold(i);
        }
    }

    /// <summary>Where the items stood.</summary>
    public IReadOnlyList<PlacedItem> Before { get; }

    /// <summary>Where they stand; always sound.</summary>
    public IReadOnlyList<PlacedItem> Now { get; set; }

    /// <summary>What the distances are to be.</summary>
    public Easing Easing { get; }

    /// <summary>By item: whether it must stay where it is.</summary>
    public IReadOnlyList<bool> Held => held;

    private int Edges => tray.Space.Region.Discs.Count + tray.Space.Region.Planes.Count;

    /// <summary>Says whether an item stands as it is to be turned.</summary>
    public void MarkStraight(int i, bool isStraight) => straight[i] = isStraight;

    /// <summary>An item stays where it is from now on. The margin that it may lack is not looked for in vain.</summary>
    public void Hold(int i)
    {
        held[i] = true;
        for (var e = 0; e < Edges; e++) Easing.FixEdge(i, e, -distances.SearchMargin - Now[i].Item.Shape.Excess);
    }

    /// <summary>What the search set nearer to something than the overlap energy would, and has no room to move, stays.</summary>
    public void HoldTheTight()
    {
        if (context.Budget.Stop || Separated(Now, out var pressed) is not null) return;
        for (var i = 0; i < Now.Count; i++)
        {
            if (!held[i] && pressed.PainOf(i) > Descent.Solved) Hold(i);
        }
    }

    /// <summary>True when the items may stand so.</summary>
    public bool Allows(IReadOnlyList<PlacedItem> items) => tray.AllowsAll(items);

    /// <summary>The items moved until all keep the level; null where that fails, and then how they stand when they come nearest to it.</summary>
    public PlacedItem[]? Separated(IReadOnlyList<PlacedItem> from, out OverlapSearch pressed)
    {
        pressed = OverlapOf(from);
        context.Budget.Tick();
        return pressed.Descend(context.Options.DescentSteps) <= Descent.Solved ? Settled(pressed, from) : null;
    }

    /// <summary>Separated items rounded to whole micrometres; null where that is not exactly sound.</summary>
    public PlacedItem[]? Settled(OverlapSearch overlap, IReadOnlyList<PlacedItem> from)
    {
        var model = overlap.Model;
        model.FreezeTurns();
        if (overlap.Descend(context.Options.DescentSteps) > Descent.Solved) return null;
        PlacedItem[] moved = [.. from.Select((s, i) => held[i] ? s
            : PlacedItem.At(s.Item, s.Count, model.V[i], model.V[model.YAt + i], straight[i] ? s.Turn : model.ThousandthsOf(i)))];
        return tray.AllowsAll(moved) ? moved : null;
    }

    /// <summary>The items as the overlap search sees them.</summary>
    public OverlapSearch OverlapOf(IReadOnlyList<PlacedItem> items)
    {
        var overlap = new OverlapSearch(
            tray.Space.Region,
            [.. items.Select((s, i) => new OverlapItem(s.Item.Shape, s.Height, !straight[i], s.Item.Piece.Touch, held[i]))],
            tray.Space.ShelfTop, distances.Gap, distances.SearchMargin, Easing);
        for (var i = 0; i < items.Count; i++)
            overlap.Model.Set(i, items[i].CentreX, items[i].CentreY, items[i].Turn * Turning.RadiansPerThousandth);
        return overlap;
    }

    // Ware that touches other ware, as it may, stays where it is.
    private bool Touches(int i) => Before[i].Item.Piece.Touch
        && Enumerable.Range(0, Before.Count).Any(j => j != i && Before[j].Item.Piece.Touch && !Exact.Apart(Before[i].Exact, Before[j].Exact, distances.Gap));

    // The least distance between two items that owe each other one, µm.
    private static long Least(IReadOnlyList<PlacedItem> items)
    {
        var least = LoadLimits.MaxLengthMicrometres;
        for (var i = 0; i < items.Count; i++)
        {
            for (var j = i + 1; j < items.Count; j++)
            {
                if (!items[i].Item.Piece.Touch || !items[j].Item.Piece.Touch) least = Clearance.Between(items[i].Exact, items[j].Exact, least);
            }
        }

        return least;
    }
}
