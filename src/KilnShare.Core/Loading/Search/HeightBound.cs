using KilnShare.Core.Loading.Levels;

namespace KilnShare.Core.Loading.Search;

/// <summary>A height that the top of the ware cannot be below when everything is placed.</summary>
internal static class HeightBound
{
    /// <summary>µm over the floor. There are as many levels as the areas need; the tallest ware stands on one, and the lowest could fill all others.</summary>
    public static long Of(LoadInstance instance, PartialPlan plan)
    {
        var placed = plan.Levels.SelectMany(l => l.Trays).Concat(plan.Kept?.Trays ?? []).SelectMany(t => t.PlacedItems).ToList();
        if (placed.Count == 0) return 0;
        var kept = plan.Kept?.WareTop ?? 0;
        if (plan.Kept is not null || instance.HasKeepOuts) return Math.Max(kept, placed.Max(s => s.Item.Height));
        var (thinnest, widest) = (instance.Decks.Min(d => d.Thickness), instance.Decks.Max(d => d.Seats.Sum(instance.AreaOf)));
        var levels = (long)Math.Ceiling((placed.Sum(s => s.Item.Shape.Area) / widest) - 1e-9);
        var between = placed.Min(s => s.Item.Height) + instance.Headroom;
        if (instance.FromStock) between = instance.Stock.AtLeast(between) ?? between;
        var (lowest, tallest) = (instance.Lowest ?? 0, placed.Max(s => s.Item.Height));
        return lowest + tallest + (levels * thinnest) + ((levels - 1) * between);
    }
}
