namespace KilnShare.Core.Loading;

/// <summary>
/// Searches from several first plans, one of all ware, one without the lightest kind, one without the two lightest and so on; the best are
/// searched on longest (successive halving, Karnin, Koren and Somekh 2013). Ware of little weight then does not lead a search astray: with one
/// light piece more, all but one of the searches are the same as before.
/// </summary>
internal sealed class ShortlistRace
{
    // Iterations of each in the first lap; doubled in each that follows.
    private const long FirstLap = 60;

    // There are fewer searches where there are many copies, so that first plans do not take long; where it would be fewer than the least, none.
    private const int Least = 3;
    private const int CopiesInAll = 300;
    private readonly Setting setting;
    private readonly Meter meter;
    private List<ShortlistSearch> racers = [];

    private ShortlistRace(Setting setting, Meter meter) => (this.setting, this.meter) = (setting, meter);

    /// <summary>The best so far.</summary>
    public required Pile Best { get; set; }

    /// <summary>How many searches such ware is worth; 0 where a race does not pay.</summary>
    public static int CountFor(Setting setting, LoadOptions options)
    {
        var pieces = setting.Problem.Pieces;
        var searches = Math.Min(options.MostSearches, CopiesInAll / Math.Max(1, pieces.Sum(p => p.Quantity)));
        return setting.MostlyBoxes || searches < Least || !pieces.Select(p => p.Priority).Distinct().Skip(1).Any() ? 0 : searches;
    }

    /// <summary>All first plans.</summary>
    public static ShortlistRace Begin(Setting setting, LoadOptions options, Meter meter, LotPool pool, FirstPlanMaker first)
    {
        var race = new ShortlistRace(setting, meter) { Best = new Pile(new Design([], []), [], pool.Copy()) };
        var lightest = pool.All.Where(w => pool.Waiting[w.Index] > 0).OrderBy(w => w.Weight).ThenByDescending(w => w.Index).ToList();
        for (var without = 0; without < Math.Min(CountFor(setting, options), Math.Max(1, lightest.Count)) && (without == 0 || !meter.Stop); without++)
        {
            var racer = new ShortlistSearch(setting, options, meter, pool, lightest.Take(without), first);
            race.racers.Add(racer);
            race.Take(racer);
            // With still less ware there is nothing to be found.
            if (racer.HoldsAll) break;
        }

        return race;
    }

    /// <summary>Lap after lap the worse half is given up, until one has run alone.</summary>
    public Pile Run()
    {
        for (var lap = FirstLap; !meter.Stop && !Best.Pool.IsEmpty; lap *= 2)
        {
            racers = [.. racers.OrderByDescending(r => r.Best.Weight)];
            foreach (var racer in racers)
            {
                racer.RunTo(lap);
                Take(racer);
            }

            if (racers.Count == 1) break;
            racers = [.. racers.OrderByDescending(r => r.Best.Weight).Take(racers.Count / 2)];
        }

        return Best;
    }

    private void Take(ShortlistSearch racer)
    {
        if (Improvement.IsBetter(setting, racer.Best, Best)) Best = racer.Best;
    }
}
