namespace KilnShare.Core.Loading;

/// <summary>
/// Searches side by side, one of all ware, one without the lightest kind, one without the two lightest and so on, each with the same part of the
/// work; what was left out is offered the room that is left. Light ware then does not lead a search astray, and with one light piece more all
/// searches but one are the same as before, so that what was found before is found again.
/// </summary>
internal sealed class Shortlists
{
    // Iterations of one search in a lap.
    private const long Lap = 7;

    // Then the best goes on alone; where there are several levels soon, since it then changes levels too.
    private const int Laps = 300;
    private const int LapsOnLevels = 10;

    // There are fewer searches where there are many copies, so that first plans do not take long; where it would be fewer than the least, none.
    private const int Least = 4;
    private const int CopiesInAll = 400;
    private readonly Setting setting;
    private readonly Meter meter;
    private readonly List<ShortlistSearch> searches = [];

    private Shortlists(Setting setting, Meter meter) => (this.setting, this.meter) = (setting, meter);

    /// <summary>The best so far.</summary>
    public required Pile Best { get; set; }

    /// <summary>How many searches such ware is worth; 0 where several do not pay.</summary>
    public static int CountFor(Setting setting, LoadOptions options)
    {
        var pieces = setting.Problem.Pieces;
        var count = Math.Min(options.MostSearches, CopiesInAll / Math.Max(1, pieces.Sum(p => p.Quantity)));
        return setting.MostlyBoxes || count < Least || !pieces.Select(p => p.Priority).Distinct().Skip(1).Any() ? 0 : count;
    }

    /// <summary>All first plans.</summary>
    public static Shortlists Begin(Setting setting, LoadOptions options, Meter meter, LotPool pool, FirstPlanMaker first)
    {
        var begun = new Shortlists(setting, meter) { Best = new Pile(new Design([], []), [], pool.Copy()) };
        var lightest = pool.All.Where(w => pool.Waiting[w.Index] > 0).OrderBy(w => w.Weight).ThenByDescending(w => w.Index).ToList();
        for (var without = 0; without < Math.Min(CountFor(setting, options), Math.Max(1, lightest.Count)) && (without == 0 || !meter.Stop); without++)
        {
            var search = new ShortlistSearch(setting, options, meter, pool, lightest.Take(without), first);
            begun.searches.Add(search);
            begun.Take(search);
            // With still less ware there is nothing to be found.
            if (search.HoldsAll) break;
        }

        // The one of all ware comes last in each lap: where the work ends within one, no other has had less of it for one piece more.
        begun.searches.Reverse();
        return begun;
    }

    /// <summary>Lap after lap.</summary>
    public Pile Run()
    {
        var laps = Best.Levels.Count > 1 ? LapsOnLevels : Laps;
        for (var lap = 1; lap <= laps && !meter.Stop && !Best.Pool.IsEmpty; lap++)
        {
            foreach (var search in searches)
            {
                search.RunTo(lap * Lap);
                Take(search);
            }
        }

        return Best;
    }

    private void Take(ShortlistSearch search)
    {
        if (Improvement.IsBetter(setting, search.Best, Best)) Best = search.Best;
    }
}
