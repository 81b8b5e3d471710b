namespace KilnShare.Core.Loading;

/// <summary>Orders the levels as one who loads would wish, where it costs nothing.</summary>
internal static class Arranging
{
    /// <summary>The heaviest levels lowest, as long as the load is no higher for it; the uppermost stays, which leaves no room for posts.</summary>
    public static Pile HeavyLow(Setting setting, Pile pile)
    {
        if (setting.HasKeepOuts || pile.Levels.Count < 3) return pile;
        List<Level> levels = [.. pile.Levels.SkipLast(1).OrderByDescending(MassOn), pile.Levels[^1]];
        if (levels.Exists(l => l != levels[^1] && !l.CarriesPosts)) return pile;
        var before = Elevations.Of(setting, pile);
        return Elevations.Of(setting, pile, levels) is { } after && after.Top <= before?.Top ? new Pile(pile.Design, levels, pile.Pool, pile.Kept) : pile;
    }

    private static double MassOn(Level level) => level.Trays.SelectMany(t => t.Standings).Sum(s => s.Lot.Mass * s.Count);
}
