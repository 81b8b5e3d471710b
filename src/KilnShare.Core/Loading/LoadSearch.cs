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
        var setting = new Setting(problem, options);
        var meter = new Meter(budget);
        var dice = new Dice(options.Seed);
        var pool = new WarePool(problem);
        var reasons = Prospects.Of(setting, pool.All);
        for (var i = 0; i < reasons.Length; i++)
        {
            if (reasons[i] is not null) pool.Waiting[i] = 0;
        }

        var building = new Building(setting, options, meter, dice);
        var best = FirstPlan(setting, options, building, pool);
        best = new Improvement(setting, options, meter, dice, building).Improve(best);
        var stopped = meter.Cancelled ? StopReason.Cancelled : StopReason.SearchEnded;
        return PlanWriting.Write(setting, best, new PlanEnd(stopped, meter.Iterations, reasons));
    }

    private static Pile FirstPlan(Setting setting, LoadOptions options, Building building, WarePool pool)
    {
        var best = new Pile(new Design([], []), [], pool.Copy());
        foreach (var design in setting.Designs)
        {
            foreach (var preference in new[] { Preference.Height, Preference.Density })
            {
                var pile = new Pile(design, [], pool.Copy());
                building.Build(pile, preference, 0, options.FirstRounds);
                if (Improvement.IsBetter(setting, pile, best)) best = pile;
                if (best.Pool.IsEmpty) break;
            }
        }

        return best;
    }
}
