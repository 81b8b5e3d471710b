namespace KilnShare.Core.Loading;

/// <summary>Orders the levels as one who loads would wish, where it costs nothing.</summary>
internal static class Arranging
{
    /// <summary>
    /// The heaviest levels lowest, or those with ware that asks for hot or cool places where it asks to be; heavy low only as long as the load is no higher for it;
    /// the uppermost stays, which leaves no room for posts.
    /// </summary>
    public static Pile Order(Setting setting, Pile pile)
    {
        if (setting.HasKeepOuts || pile.Levels.Count < 3 || pile.Levels.SkipLast(1).Any(l => !l.CarriesPosts)) return pile;
        if (Elevations.Of(setting, pile) is not { } before) return pile;
        List<Level> levels = [.. pile.Levels.SkipLast(1).OrderByDescending(MassOn), pile.Levels[^1]];
        var best = Elevations.Of(setting, pile, levels) is { } heavyLow && heavyLow.Top <= before.Top ? levels : pile.Levels;
        return new Pile(pile.Design, [.. Wished(setting, pile, best)], pile.Pool, pile.Kept);
    }

    // Levels change places two by two while more wishes are met by it.
    private static IReadOnlyList<Level> Wished(Setting setting, Pile pile, IReadOnlyList<Level> levels)
    {
        var unmet = Wishing.Unmet(setting, pile, levels);
        for (var i = 0; i < levels.Count - 1 && unmet > 0; i++)
        {
            for (var j = i + 1; j < levels.Count - 1; j++)
            {
                Level[] other = [.. levels];
                (other[i], other[j]) = (other[j], other[i]);
                if (Wishing.Unmet(setting, pile, other) is { } fewer && fewer < unmet) (levels, unmet) = (other, fewer);
            }
        }

        return levels;
    }

    private static double MassOn(Level level) => level.Trays.SelectMany(t => t.Standings).Sum(s => s.Lot.Mass * s.Count);
}
