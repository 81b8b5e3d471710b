using KilnShare.Core.Common;

namespace KilnShare.Core.Loading.Series;

/// <summary>Plans ware into as few loads of one kiln as can be found, to be fired one after another.</summary>
public static class LoadSeries
{
    /// <summary>The fewest loads found within the budget. Same problem, options and iterations: same loads.</summary>
    /// <param name="problem">All the ware, and the kiln for each load; priorities say only which load comes first, and a start plan is not looked at.</param>
    /// <param name="options">How to search.</param>
    /// <param name="budget">For all loads together; a first series is made whatever the budget, unless the caller cancels.</param>
    public static LoadSeriesPlan Solve(LoadProblem problem, LoadOptions options, WorkBudget budget) => new SeriesSearch(problem, options, budget).Solve();
}
