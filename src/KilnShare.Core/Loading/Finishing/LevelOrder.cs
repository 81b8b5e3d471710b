using KilnShare.Core.Loading.Levels;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>Puts the levels in the order in which a potter would load them, where it costs nothing.</summary>
internal static class LevelOrder
{
    /// <summary>
    /// The heaviest levels go lowest, as long as the load is no higher for it; then levels change places where that meets more wishes of heat.
    /// The uppermost level stays where it is, since it has no room for posts.
    /// </summary>
    public static PartialPlan Order(LoadInstance instance, PartialPlan plan)
    {
        if (instance.HasKeepOuts || plan.Levels.Count < 3 || plan.Levels.SkipLast(1).Any(l => !l.CarriesPosts)) return plan;
        if (Elevations.Of(instance, plan) is not { } before) return plan;
        List<Level> levels = [.. plan.Levels.SkipLast(1).OrderByDescending(MassOn), plan.Levels[^1]];
        var best = Elevations.Of(instance, plan, levels) is { } heavyLow && heavyLow.WareTop <= before.WareTop ? levels : plan.Levels;
        return new PartialPlan(plan.Layout, [.. Wished(instance, plan, best)], plan.Pool, plan.Kept);
    }

    // Two levels change places wherever that meets more wishes.
    private static IReadOnlyList<Level> Wished(LoadInstance instance, PartialPlan plan, IReadOnlyList<Level> levels)
    {
        var unmet = HeatWishes.Unmet(instance, plan, levels);
        for (var i = 0; i < levels.Count - 1 && unmet > 0; i++)
        {
            for (var j = i + 1; j < levels.Count - 1; j++)
            {
                Level[] other = [.. levels];
                (other[i], other[j]) = (other[j], other[i]);
                if (HeatWishes.Unmet(instance, plan, other) is { } fewer && fewer < unmet) (levels, unmet) = (other, fewer);
            }
        }

        return levels;
    }

    private static double MassOn(Level level) => level.Trays.SelectMany(t => t.PlacedItems).Sum(s => s.Item.Mass * s.Count);
}
