using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>One search of a portfolio: the least valuable kinds are left out, and then offered the room that is left.</summary>
internal sealed class PortfolioSearch
{
    private readonly LoadInstance instance;
    private readonly InstanceContext context;
    private readonly SearchBudget budget;
    private readonly Improvement improvement;
    private readonly List<(Item Item, int Copies)> left;
    private PartialPlan own;
    private long used;

    /// <summary>Makes a first plan and improves it a little.</summary>
    public PortfolioSearch(InstanceContext shared, ItemPool pool, IEnumerable<Item> leftOut)
    {
        // Each search has random numbers of its own, so that it does not depend on the others.
        context = shared with { Random = new SeededRandom(shared.Options.Seed) };
        (instance, budget) = (context.Instance, context.Budget);
        var builder = new LevelBuilder(context);
        improvement = new Improvement(context, builder);
        var part = pool.Copy();
        left = [.. leftOut.Select(item => (item, pool.Waiting[item.Index])).Reverse()];
        foreach (var (item, _) in left) part.Waiting[item.Index] = 0;
        own = improvement.Climb(new FirstPlans(context, builder).Build(part, ofPortfolio: true), context.Options.PortfolioMoves);
        HoldsAll = own.Pool.IsEmpty;
        Best = Completed(own);
    }

    /// <summary>The best plan, with what found room of the kinds left out.</summary>
    public PartialPlan Best { get; private set; }

    /// <summary>True when everything but the kinds left out found a place at once.</summary>
    public bool HoldsAll { get; }

    /// <summary>Searches on until so many iterations have been spent here in all.</summary>
    public void RunTo(long iterations)
    {
        var before = budget.Iterations;
        while (!budget.Stop && !own.Pool.IsEmpty && used + budget.Iterations - before < iterations)
        {
            var better = improvement.Climb(own, 1);
            if (ReferenceEquals(better, own)) continue;
            own = better;
            if (Completed(own) is var completed && Improvement.IsBetter(instance, completed, Best)) Best = completed;
        }

        used += budget.Iterations - before;
    }

    // The most valuable first, with random numbers of their own: one more kind, offered last, changes nothing of what was offered before.
    private PartialPlan Completed(PartialPlan plan)
    {
        var builder = new LevelBuilder(context with { Random = new SeededRandom(context.Options.Seed) });
        foreach (var (item, copies) in left) plan = With(plan, item, copies, builder);
        return plan;
    }

    // On the levels there are, then on more of them.
    private PartialPlan With(PartialPlan plan, Item item, int copies, LevelBuilder builder)
    {
        var waiting = plan.Copy();
        waiting.Pool.Waiting[item.Index] = copies;
        var trial = waiting.Copy();
        foreach (var level in trial.Levels)
        {
            while (trial.Pool.Waiting[item.Index] > 0 && builder.Filling.TryCheaply(level.Trays, item)) trial.Pool.Waiting[item.Index]--;
            Balancing.Ensure(instance, trial.Layout, level, trial.Pool);
        }

        if (trial.Levels.Count == 0 || trial.Levels[^1].CarriesPosts) builder.Build(trial, Preference.Height, 0, context.Options.FirstRounds);
        return trial.Value > plan.Value && Elevations.Of(instance, trial) is not null ? trial : waiting;
    }
}
