namespace KilnShare.Core.Loading;

/// <summary>One of several searches: its lightest kinds are left out, and at last offered what room is left.</summary>
internal sealed class ShortlistSearch
{
    private readonly Setting setting;
    private readonly LoadOptions options;
    private readonly Meter meter;
    private readonly Building building;
    private readonly Improvement improvement;
    private readonly int[] left;
    private Pile own;
    private long used;

    /// <summary>Makes a first plan and improves it a little.</summary>
    public ShortlistSearch(Setting setting, LoadOptions options, Meter meter, LotPool pool, IEnumerable<Lot> leftOut, FirstPlanMaker first)
    {
        (this.setting, this.options, this.meter) = (setting, options, meter);
        // Each draws from dice of its own: what one does depends on no other.
        var dice = new Dice(options.Seed);
        building = new Building(setting, options, meter, dice);
        improvement = new Improvement(setting, options, meter, dice, building);
        left = new int[pool.All.Length];
        var part = pool.Copy();
        foreach (var lot in leftOut) (left[lot.Index], part.Waiting[lot.Index]) = (part.Waiting[lot.Index], 0);
        own = improvement.Climb(first(building, part), options.MovesBeforeRace);
        HoldsAll = own.Pool.IsEmpty;
        Best = Completed(own);
    }

    /// <summary>With what of that left out found room.</summary>
    public Pile Best { get; private set; }

    /// <summary>True when all that was not left out found a place at once.</summary>
    public bool HoldsAll { get; }

    /// <summary>Searches on until so many iterations have been spent here in all.</summary>
    public void RunTo(long iterations)
    {
        var before = meter.Iterations;
        while (!meter.Stop && !own.Pool.IsEmpty && used + meter.Iterations - before < iterations)
        {
            var better = improvement.Climb(own, 1);
            if (ReferenceEquals(better, own)) continue;
            own = better;
            if (Completed(own) is var completed && Improvement.IsBetter(setting, completed, Best)) Best = completed;
        }

        used += meter.Iterations - before;
    }

    // What weighs most is offered first, on the levels there are, then on more of them.
    private Pile Completed(Pile pile)
    {
        if (Array.TrueForAll(left, l => l == 0)) return pile;
        var completed = WithAllWaiting(pile);
        foreach (var level in completed.Levels) building.Filling.Fill(level.Trays, completed.Pool, Preference.Weight, 0, options.FirstRounds, 0);
        foreach (var level in completed.Levels) Balancing.Ensure(setting, completed.Design, level, completed.Pool);
        if (completed.Levels.Count == 0 || completed.Levels[^1].CarriesPosts) building.Build(completed, Preference.Height, 0, options.FirstRounds);
        return Elevations.Of(setting, completed) is null ? WithAllWaiting(pile) : completed;
    }

    private Pile WithAllWaiting(Pile pile)
    {
        var copy = pile.Copy();
        for (var i = 0; i < left.Length; i++) copy.Pool.Waiting[i] += left[i];
        return copy;
    }
}

/// <summary>Makes a first plan of what waits.</summary>
internal delegate Pile FirstPlanMaker(Building building, LotPool pool);
