using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>What the moves draw from, and what every changed plan must pass.</summary>
internal sealed class MoveBasis(InstanceContext context)
{
    /// <summary>Any kind of item that waits, each as likely; null when none does.</summary>
    public Item? AnyWaiting(ItemPool pool)
    {
        var waiting = pool.All.Where(w => pool.Waiting[w.Index] > 0).ToList();
        return waiting.Count == 0 ? null : waiting[context.Random.Below(waiting.Count)];
    }

    /// <summary>The shelves of any level from a first one up, or those that are kept; null when there are none.</summary>
    public IReadOnlyList<Tray>? AnyShelves(PartialPlan plan, int first = 0)
    {
        var kept = plan.Kept is null ? 0 : 1;
        if (plan.Levels.Count + kept == first) return null;
        var at = first + context.Random.Below(plan.Levels.Count + kept - first);
        return at < plan.Levels.Count ? plan.Levels[at].Trays : plan.Kept!.Trays;
    }

    /// <summary>The plan with ware taken off until every shelf balances; null where what is kept does not, or the levels do not go in.</summary>
    public PartialPlan? Sound(PartialPlan plan)
    {
        foreach (var level in plan.Levels) Balancing.Ensure(context.Instance, plan.Layout, level, plan.Pool);
        if (plan.Kept is { } kept && !Balancing.Ensure(context.Instance, kept, plan.Pool)) return null;
        return Elevations.Of(context.Instance, plan) is null ? null : plan;
    }
}
