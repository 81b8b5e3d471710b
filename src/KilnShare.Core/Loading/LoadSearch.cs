using KilnShare.Core.Common;

namespace KilnShare.Core.Loading;

/// <summary>
/// Plans a load: pieces on shelves, shelves on posts, in levels. As much weight as can be found, then the least height.
/// </summary>
public static class LoadSearch
{
    /// <summary>The best plan found within the budget. Same problem, options and iterations: same plan.</summary>
    public static LoadPlan Solve(LoadProblem problem, LoadOptions options, WorkBudget budget)
    {
        var meter = new Meter(budget);
        var start = StartToUse(problem);
        if (problem.Keep != Keep.None) return Search(problem, options, meter, start);
        var carried = start is null ? null : Search(problem, options, meter, start, improve: false);
        var fresh = Search(problem, options, meter, null);
        return carried is not null && IsBetter(carried, fresh) ? carried with { Iterations = fresh.Iterations } : fresh;
    }

    // How first plans are built: what is preferred, and after how many whole levels half shelves begin.
    private static readonly (Preference Preference, int? SplitAt)[] Ways = [(Preference.Height, null), (Preference.Density, null)];

    private static readonly (Preference Preference, int? SplitAt)[] WaysWithHalves =
        [(Preference.Height, null), (Preference.Density, null), (Preference.Height, 0), (Preference.Density, 1), (Preference.Height, 2)];

    private static bool IsBetter(LoadPlan a, LoadPlan b) =>
        a.PlacedWeight != b.PlacedWeight ? a.PlacedWeight > b.PlacedWeight : a.Top < b.Top;

    // All of the start while it is sound; else only what must stay, which is.
    private static LoadPlan? StartToUse(LoadProblem problem)
    {
        if (problem.Start is null) return null;
        var kinds = problem.Furniture.Shelves.Select(s => s.Id).ToHashSet(StringComparer.Ordinal);
        if (problem.Start.Shelves.Any(s => !kinds.Contains(s.ShelfId))) return null;
        var whole = StartPart.Of(problem, onlyKept: false);
        if (problem.Keep != Keep.All && LoadChecks.Violations(problem, whole).Count > 0) whole = StartPart.Of(problem, onlyKept: true);
        return whole.Shelves.Count > 0 ? whole : null;
    }

    private static LoadPlan Search(LoadProblem problem, LoadOptions options, Meter meter, LoadPlan? start, bool improve = true)
    {
        var setting = new Setting(problem, options, start);
        var dice = new Dice(options.Seed);
        var pool = new LotPool(problem);
        var kept = start is null ? null : KeptBase.Of(setting, start, pool);
        var reasons = Prospects.Of(setting, pool.All);
        for (var i = 0; i < reasons.Length; i++)
        {
            if (reasons[i] is not null) pool.Waiting[i] = 0;
        }

        var building = new Building(setting, options, meter, dice);
        var best = meter.MakeFirst(() => kept is null ? FirstPlan(setting, options, building, pool) : OntoKept(setting, options, building, pool, kept));
        if (improve) best = new Improvement(setting, options, meter, dice, building).Improve(best);
        var stopped = meter.Cancelled ? StopReason.Cancelled : StopReason.SearchEnded;
        return PlanWriting.Write(setting, meter.Cancelled ? best : Gathering.Gather(setting, Arranging.Order(setting, best)), new PlanEnd(stopped, meter.Iterations, reasons));
    }

    private static Pile FirstPlan(Setting setting, LoadOptions options, Building building, LotPool pool)
    {
        var best = new Pile(new Design([], []), [], pool.Copy());
        foreach (var design in setting.Designs)
        {
            var splits = design.Decks.Any(d => d.Seats.Count == 1) && design.Decks.Any(d => d.Seats.Count == 2);
            foreach (var (preference, splitAt) in splits ? WaysWithHalves : Ways)
            {
                if (best.Pool.IsEmpty) return best;
                var pile = new Pile(design, [], pool.Copy());
                building.Build(pile, preference, 0, options.FirstRounds, splitAt);
                if (Improvement.IsBetter(setting, pile, best)) best = pile;
            }
        }

        return best;
    }

    // First into the room between what stays; what still waits may get new levels on top.
    private static Pile OntoKept(Setting setting, LoadOptions options, Building building, LotPool pool, KeptBase kept)
    {
        var best = new Pile(new Design([], []), [], pool.Copy(), kept.Copy());
        building.Filling.Fill(best.Kept!.Trays, best.Pool, Preference.Height, 0, options.FirstRounds, options.FailuresPerLevel);
        Balancing.Ensure(setting, best.Kept, best.Pool);
        if (best.Pool.IsEmpty || DesignChoice.Upon(setting, kept.AxesForMore(setting)) is not { } design) return best;
        var more = pool.Copy();
        var pile = new Pile(design, [], more, kept.WithPostsOn(setting, Building.PostsAbove(design), more));
        building.Filling.Fill(pile.Kept!.Trays, more, Preference.Height, 0, options.FirstRounds, options.FailuresPerLevel);
        Balancing.Ensure(setting, pile.Kept, more);
        building.Build(pile, Preference.Height, 0, options.FirstRounds);
        return Improvement.IsBetter(setting, pile, best) ? pile : best;
    }
}
