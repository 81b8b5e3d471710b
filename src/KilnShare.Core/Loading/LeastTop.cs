namespace KilnShare.Core.Loading;

/// <summary>A height that the top of the ware cannot be below when everything is placed.</summary>
internal static class LeastTop
{
    /// <summary>µm over the floor: so many levels as the areas need, the lowest ware on all but one, the tallest on that one.</summary>
    public static long Of(Setting setting, Pile pile)
    {
        var placed = pile.Levels.SelectMany(l => l.Trays).Concat(pile.Kept?.Trays ?? []).SelectMany(t => t.Standings).ToList();
        if (placed.Count == 0) return 0;
        var kept = pile.Kept?.WareTop ?? 0;
        if (pile.Kept is not null || setting.HasKeepOuts) return Math.Max(kept, placed.Max(s => s.Lot.Height));
        var (thinnest, widest) = (setting.AllDecks.Min(d => d.Thickness), setting.AllDecks.Max(d => d.Seats.Sum(setting.AreaOf)));
        var levels = (long)Math.Ceiling((placed.Sum(s => s.Lot.Shape.Area) / widest) - 1e-9);
        var between = placed.Min(s => s.Lot.Height) + setting.Headroom;
        if (setting.FromStock) between = setting.Stock.AtLeast(between) ?? between;
        var (lowest, tallest) = (setting.Lowest ?? 0, placed.Max(s => s.Lot.Height));
        return lowest + tallest + (levels * thinnest) + ((levels - 1) * between);
    }
}
