using KilnShare.Core.Common;
using KilnShare.Core.Loading.Finishing;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Search;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading;

/// <summary>
/// Plans a load: pieces on shelves, shelves on posts, in levels. It looks for the most value, then for the least height. README.md tells how.
/// </summary>
public static class LoadSearch
{
    /// <summary>The best plan found within the budget. Same problem, options and iterations: same plan.</summary>
    /// <param name="problem">What to load into what. What is to stay of a start plan must be sound: <see cref="KeptStart.Check"/>.</param>
    /// <param name="options">How to search.</param>
    /// <param name="work">When to stop. A first plan is made whatever the number of iterations, unless the caller cancels.</param>
    public static LoadPlan Solve(LoadProblem problem, LoadOptions options, WorkBudget work)
    {
        var budget = new SearchBudget(work);
        var plan = Best(problem, options, budget);
        return options.Spread && !budget.Cancelled ? SharingOut.Of(problem, plan, options, work) : plan;
    }

    private static LoadPlan Best(LoadProblem problem, LoadOptions options, SearchBudget budget)
    {
        var start = KeptStart.ToUse(problem);
        if (problem.Keep != Keep.None || start is null) return Search(problem, options, budget, start);
        budget.Share = SearchTuning.ShareFromStart;
        var carried = Search(problem, options, budget, start);
        if (carried.Stopped is StopReason.Proven or StopReason.Cancelled) return carried;
        budget.Share = 1;
        var fresh = Search(problem, options, budget, null);
        return carried.PlacedWeight >= fresh.PlacedWeight ? carried with { Iterations = fresh.Iterations } : fresh;
    }

    private static LoadPlan Search(LoadProblem problem, LoadOptions options, SearchBudget budget, LoadPlan? start)
    {
        var context = new InstanceContext(new LoadInstance(problem, options, start), options, budget, new SeededRandom(options.Seed));
        var pool = new ItemPool(problem);
        var from = start is null ? null : StartLevels.Begin(context.Instance, start, pool);
        var reasons = Feasibility.Of(context.Instance, pool.All);
        SetAside(reasons, from?.Pool ?? pool);

        var best = First(context, pool, from, out var portfolio);
        best = Improved(context, best, from, portfolio);
        if (!budget.Cancelled) best = Finished(context, best, from);

        var stopped = budget.Cancelled ? StopReason.Cancelled : StopReason.SearchEnded;
        return PlanWriting.Write(context.Instance, best, new PlanEnd(stopped, budget.Iterations, reasons));
    }

    // Items that no plan can hold do not wait for a place.
    private static void SetAside(UnplacedReason?[] reasons, ItemPool pool)
    {
        for (var i = 0; i < reasons.Length; i++)
        {
            if (reasons[i] is not null) pool.Waiting[i] = 0;
        }
    }

    private static PartialPlan First(InstanceContext context, ItemPool pool, PartialPlan? from, out Portfolio? portfolio)
    {
        portfolio = null;
        using var phase = context.Budget.FirstPlan();
        var first = new FirstPlans(context, new LevelBuilder(context));
        if (from is not null) return first.Onto(from);
        if (Portfolio.CountFor(context.Instance, context.Options) == 0) return first.Build(pool, ofPortfolio: false);
        portfolio = Portfolio.Begin(context, pool);
        return portfolio.Best;
    }

    private static PartialPlan Improved(InstanceContext context, PartialPlan first, PartialPlan? from, Portfolio? portfolio)
    {
        var hasMore = from is not null || HeatWishes.IsAsked(context.Instance, first.Pool);
        using var phase = context.Budget.Within(PartForPlan(context.Options) - (hasMore ? SearchTuning.PartForOrder : 0));
        return new Improvement(context, new LevelBuilder(context), from is not null).Improve(portfolio?.Run() ?? first);
    }

    // What is left is for sharing out the room that is left over.
    private static double PartForPlan(LoadOptions options) => options.Spread ? 1 - FinishingTuning.PartForSharing : 1;

    // Nothing leaves the load any more: levels are ordered and groups gathered, or ware is put back; then wishes are met.
    private static PartialPlan Finished(InstanceContext context, PartialPlan best, PartialPlan? from)
    {
        using var phase = context.Budget.Uncounted(PartForPlan(context.Options));
        var ordered = from is null
            ? Grouping.Gather(context.Instance, LevelOrder.Order(context.Instance, best))
            : new StartRepair(context).Restore(best, from);
        return new HeatWishes(context).Meet(ordered);
    }
}
