using KilnShare.Core.Loading.Levels;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>Orders the levels as one who loads would wish, where it costs nothing.</summary>
internal static class LevelOrder
{
    /// <summary>
    /// The heaviest levels lowest, or those with ware that asks for hot or cool places where it asks to be; heavy low only as long as the load is no higher for it;
    /// the uppermost stays, which leaves no room for posts.
    /// </summary>
    public static PartialPlan Order(LoadInstance instance, PartialPlan plan)
    {
        if (instance.HasKeepOuts || plan.Levels.Count < 3 || plan.Levels.SkipLast(1).Any(l => !l.CarriesPosts)) return plan;
        if (Elevations.Of(instance, plan) is not { } before) return plan;
        List<Level> levels = [.. plan.Levels.SkipLast(1).OrderByDescending(MassOn), plan.Levels[^1]];
        var best = Elevations.Of(instance, plan, levels) is { } heavyLow && heavyLow.WareTop <= before.WareTop ? levels : plan.Levels;
        return new PartialPlan(plan.Layout, [.. Wished(instance, plan, best)], plan.Pool, plan.Kept);
    }

    // Levels change places two by two while more wishes are met by it.
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
