namespace KilnShare.Core.Loading;

/// <summary>Orders the levels as one who loads would wish, where it costs nothing.</summary>
internal static class Arranging
{
    /// <summary>
    /// The heaviest levels lowest, or those with ware that asks for hot or cool places where it asks to be, as long as the load is no higher for it;
    /// the uppermost stays, which leaves no room for posts.
    /// </summary>
    public static Pile Order(Setting setting, Pile pile)
    {
        if (setting.HasKeepOuts || pile.Levels.Count < 3 || pile.Levels.SkipLast(1).Any(l => !l.CarriesPosts)) return pile;
        if (Elevations.Of(setting, pile) is not { } before) return pile;
        List<Level> levels = [.. pile.Levels.SkipLast(1).OrderByDescending(MassOn), pile.Levels[^1]];
        var best = Elevations.Of(setting, pile, levels) is { } heavyLow && heavyLow.Top <= before.Top ? levels : pile.Levels;
        return new Pile(pile.Design, [.. Wished(setting, pile, best, before.Top)], pile.Pool, pile.Kept);
    }

    // Levels change places two by two while more wishes are met by it.
    private static IReadOnlyList<Level> Wished(Setting setting, Pile pile, IReadOnlyList<Level> levels, long top)
    {
        var unmet = Unmet(setting, pile, levels, top);
        for (var i = 0; i < levels.Count - 1 && unmet > 0; i++)
        {
            for (var j = i + 1; j < levels.Count - 1; j++)
            {
                Level[] other = [.. levels];
                (other[i], other[j]) = (other[j], other[i]);
                if (Unmet(setting, pile, other, top) is { } fewer && fewer < unmet) (levels, unmet) = (other, fewer);
            }
        }

        return levels;
    }

    // Copies that would rather stand elsewhere; null where the levels do not go in that order or become higher.
    private static int? Unmet(Setting setting, Pile pile, IReadOnlyList<Level> levels, long top)
    {
        if (Elevations.Of(setting, pile, levels) is not { } elevation || elevation.Top > top) return null;
        var unmet = 0;
        for (var i = 0; i < levels.Count; i++)
        {
            for (var t = 0; t < levels[i].Trays.Count; t++)
            {
                var floor = elevation.Undersides[i] + levels[i].Deck.Thickness + levels[i].OffsetOf(t);
                unmet += levels[i].Trays[t].Standings.Where(s => setting.IsUnmet(s.Lot, floor)).Sum(s => s.Count);
            }
        }

        return unmet;
    }

    private static double MassOn(Level level) => level.Trays.SelectMany(t => t.Standings).Sum(s => s.Lot.Mass * s.Count);
}
