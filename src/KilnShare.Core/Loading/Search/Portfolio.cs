using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>
/// Searches side by side: one of all ware, one without the least valuable kind, one without the two least valuable, and so on. Each has the same
/// part of the work; what was left out is offered the room that is left. So ware of little value does not lead every search astray. With one
/// more piece of little value all searches but one are the same as before, and what was found before is found again.
/// </summary>
internal sealed class Portfolio
{


    private readonly LoadInstance instance;
    private readonly SearchBudget budget;
    private readonly List<PortfolioSearch> searches = [];

    private Portfolio(LoadInstance instance, SearchBudget budget) => (this.instance, this.budget) = (instance, budget);

    /// <summary>The best so far.</summary>
    public required PartialPlan Best { get; set; }

    /// <summary>How many searches there are for this ware; 0 where there is no portfolio.</summary>
    public static int CountFor(LoadInstance instance, LoadOptions options)
    {
        var pieces = instance.Problem.Pieces;
        var count = Math.Min(options.MostSearches, SearchTuning.CopiesInAll / Math.Max(1, pieces.Sum(p => p.Quantity)));
        return instance.MostlyRectangles || count < SearchTuning.LeastSearches || !pieces.Select(p => p.Priority).Distinct().Skip(1).Any() ? 0 : count;
    }

    /// <summary>All first plans.</summary>
    public static Portfolio Begin(InstanceContext context, ItemPool pool)
    {
        var (instance, options, budget, _) = context;
        var begun = new Portfolio(instance, budget) { Best = new PartialPlan(new Layout([], []), [], pool.Copy()) };
        var leastValuable = pool.All.Where(w => pool.Waiting[w.Index] > 0).OrderBy(w => w.Value).ThenByDescending(w => w.Index).ToList();
        for (var without = 0; without < Math.Min(CountFor(instance, options), Math.Max(1, leastValuable.Count)) && (without == 0 || !budget.Stop); without++)
        {
            var search = new PortfolioSearch(context, pool, leastValuable.Take(without));
            begun.searches.Add(search);
            begun.Take(search);
            // With still less ware there is nothing more to find.
            if (search.HoldsAll) break;
        }

        // The search of all ware comes last in each lap. So where the work ends within a lap, one more piece has cost the others nothing.
        begun.searches.Reverse();
        return begun;
    }

    /// <summary>Lap after lap.</summary>
    public PartialPlan Run()
    {
        var laps = Best.Levels.Count > 1 ? SearchTuning.LapsOnLevels : SearchTuning.Laps;
        for (var lap = 1; lap <= laps && !budget.Stop && !Best.Pool.IsEmpty; lap++)
        {
            foreach (var search in searches)
            {
                search.RunTo(lap * SearchTuning.Lap);
                Take(search);
            }
        }

        return Best;
    }

    private void Take(PortfolioSearch search)
    {
        if (Improvement.IsBetter(instance, search.Best, Best)) Best = search.Best;
    }
}
