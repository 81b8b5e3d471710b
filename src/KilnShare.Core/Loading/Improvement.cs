namespace KilnShare.Core.Loading;

/// <summary>
/// Improves a pile of levels: squeezes in what waits, and takes levels apart to build them anew (large neighbourhood search, Shaw 1998).
/// </summary>
internal sealed class Improvement(Setting setting, LoadOptions options, Meter meter, Dice dice, Building building, bool fromStart = false)
{
    private readonly Neighbourhood neighbourhood = new(setting, options, meter, dice, building, fromStart);

    /// <summary>More weight, or as much and lower.</summary>
    public static bool IsBetter(Setting setting, Pile a, Pile b)
    {
        if (a.Weight != b.Weight) return a.Weight > b.Weight;
        return TopOf(setting, a) < TopOf(setting, b);
    }

    // A rebuilt pile may be worse than the present one by this part and still be gone on from.
    private const double Leniency = 0.006;

    // After so many tries without a better plan the search goes back to the best; sooner where as little as can be is to move.
    private readonly int patience = fromStart ? 20 : 150;

    // Where the search for more weight stands.
    private Pile? climbing;
    private int sinceBetter;

    /// <summary>Searches for more weight until the budget is spent; once everything is placed, for less height, unless there was a start plan.</summary>
    public Pile Improve(Pile start)
    {
        var best = start;
        while (!meter.Stop)
        {
            if (!best.Pool.IsEmpty) best = AddWeight(best);
            else if (!fromStart && Lower(best) is { } lower) best = lower;
            else break;
        }

        return best;
    }

    private Pile AddWeight(Pile start)
    {
        if (start.Levels.Count > 1 && neighbourhood.MayVary) return new LevelRace(setting, meter, dice, neighbourhood).Improve(start);
        (climbing, sinceBetter) = (null, 0);
        return Climb(start, long.MaxValue);
    }

    /// <summary>Searches for more weight by so many changes at most, on from where the last such search had come to.</summary>
    public Pile Climb(Pile start, long changes)
    {
        var (best, current, since) = (start, climbing ?? start, sinceBetter);
        for (; changes > 0 && !meter.Stop && !best.Pool.IsEmpty; changes--)
        {
            meter.Tick();
            var trial = neighbourhood.Near(current);
            since++;
            if (trial is not null && trial.Weight >= current.Weight * (1 - (Leniency * dice.Unit()))) current = trial;
            if (IsBetter(setting, current, best)) (best, since) = (current, 0);
            if (since > patience) (current, since) = (best, 0);
        }

        (climbing, sinceBetter) = (current, since);
        return best;
    }

    // Everything once more under a lower ceiling; null when it is as low as can be, or the budget is spent.
    private Pile? Lower(Pile best)
    {
        var top = TopOf(setting, best);
        if (top <= LeastTop.Of(setting, best)) return null;
        var lowered = setting.Below(top - 1);
        return new Improvement(lowered, options, meter, dice, new Building(lowered, options, meter, dice)).PlaceAll(best);
    }

    private Pile? PlaceAll(Pile from)
    {
        neighbourhood.ByArea = true;
        var current = Cut(from);
        var (least, since) = (double.PositiveInfinity, 0);
        while (!meter.Stop)
        {
            if (current.Pool.IsEmpty) return current;
            meter.Tick();
            if (neighbourhood.Near(current) is { } trial && trial.Pool.WaitingArea <= current.Pool.WaitingArea * (1 + (0.1 * dice.Unit()))) current = trial;
            since++;
            if (current.Pool.WaitingArea < least) (least, since) = (current.Pool.WaitingArea, 0);
            if (since > 2 * patience) (current, least, since) = (Cut(from), double.PositiveInfinity, 0);
        }

        return null;
    }

    // Takes levels out until the rest is under the ceiling, and builds again with what room there is.
    private Pile Cut(Pile from)
    {
        var trial = from.Copy();
        while (trial.Levels.Count > 0)
        {
            Neighbourhood.TakeOut(trial, trial.Levels[^1].CarriesPosts && !setting.HasKeepOuts ? dice.Below(trial.Levels.Count) : trial.Levels.Count - 1);
            if (Elevations.Of(setting, trial) is not null) break;
        }

        neighbourhood.Build(trial);
        return trial;
    }

    private static long TopOf(Setting setting, Pile pile) => Elevations.Of(setting, pile)?.Top ?? long.MaxValue;
}
