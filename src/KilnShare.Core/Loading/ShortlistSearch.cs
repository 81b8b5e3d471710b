namespace KilnShare.Core.Loading;

/// <summary>One of several searches: its lightest kinds are left out, and at last offered what room is left.</summary>
internal sealed class ShortlistSearch
{
    private readonly Setting setting;
    private readonly LoadOptions options;
    private readonly Meter meter;
    private readonly Improvement improvement;
    private readonly List<(Lot Lot, int Copies)> left;
    private Pile own;
    private long used;

    /// <summary>Makes a first plan and improves it a little.</summary>
    public ShortlistSearch(Setting setting, LoadOptions options, Meter meter, LotPool pool, IEnumerable<Lot> leftOut, FirstPlanMaker first)
    {
        (this.setting, this.options, this.meter) = (setting, options, meter);
        // Each draws from dice of its own: what one does depends on no other.
        var dice = new Dice(options.Seed);
        var building = new Building(setting, options, meter, dice);
        improvement = new Improvement(setting, options, meter, dice, building);
        var part = pool.Copy();
        left = [.. leftOut.Select(lot => (lot, pool.Waiting[lot.Index])).Reverse()];
        foreach (var (lot, _) in left) part.Waiting[lot.Index] = 0;
        own = improvement.Climb(first(building, part), options.ShortlistMoves);
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

    // The heaviest first, each for itself and with dice of their own: a kind more, offered last, changes nothing of what went before.
    private Pile Completed(Pile pile)
    {
        var building = new Building(setting, options, meter, new Dice(options.Seed));
        foreach (var (lot, copies) in left) pile = With(pile, lot, copies, building);
        return pile;
    }

    // On the levels there are, then on more of them.
    private Pile With(Pile pile, Lot lot, int copies, Building building)
    {
        var waiting = pile.Copy();
        waiting.Pool.Waiting[lot.Index] = copies;
        var trial = waiting.Copy();
        foreach (var level in trial.Levels)
        {
            while (trial.Pool.Waiting[lot.Index] > 0 && building.Filling.TryCheaply(level.Trays, lot)) trial.Pool.Waiting[lot.Index]--;
            Balancing.Ensure(setting, trial.Design, level, trial.Pool);
        }

        if (trial.Levels.Count == 0 || trial.Levels[^1].CarriesPosts) building.Build(trial, Preference.Height, 0, options.FirstRounds);
        return trial.Weight > pile.Weight && Elevations.Of(setting, trial) is not null ? trial : waiting;
    }
}

/// <summary>Makes a first plan of what waits.</summary>
internal delegate Pile FirstPlanMaker(Building building, LotPool pool);
