namespace KilnShare.Core.Loading;

/// <summary>
/// Improves a pile of levels: squeezes in what waits, and takes levels apart to build them anew (large neighbourhood search, Shaw 1998).
/// </summary>
internal sealed class Improvement(Setting setting, LoadOptions options, Meter meter, Dice dice, Building building)
{
    /// <summary>More weight, or as much and lower.</summary>
    public static bool IsBetter(Setting setting, Pile a, Pile b)
    {
        if (a.Weight != b.Weight) return a.Weight > b.Weight;
        return TopOf(setting, a) < TopOf(setting, b);
    }

    public Pile Improve(Pile start)
    {
        var best = start;
        while (!meter.Stop && !best.Pool.IsEmpty)
        {
            meter.Tick();
            var trial = dice.Below(2) == 0 ? Squeezed(best) : Rebuilt(best);
            if (trial is not null && IsBetter(setting, trial, best)) best = trial;
        }

        return best;
    }

    private static long TopOf(Setting setting, Pile pile) => Elevations.Of(setting, pile)?.Top ?? long.MaxValue;

    private Pile? Squeezed(Pile pile)
    {
        var trial = pile.Copy();
        var waiting = trial.Pool.All.Where(w => trial.Pool.Waiting[w.Index] > 0).ToList();
        var groups = trial.Levels.Select(l => l.Trays).Append(trial.Kept?.Trays ?? []).Where(g => g.Count > 0).ToList();
        if (waiting.Count == 0 || groups.Count == 0) return null;
        var ware = waiting[dice.Below(waiting.Count)];
        if (!building.Filling.TryHard(groups[dice.Below(groups.Count)], ware, options.SearchRounds)) return null;
        trial.Pool.Waiting[ware.Index]--;
        Balance(trial);
        return Elevations.Of(setting, trial) is null ? null : trial;
    }

    private void Balance(Pile pile)
    {
        foreach (var level in pile.Levels) Balancing.Ensure(setting, pile.Design, level, pile.Pool);
        if (pile.Kept is { } kept) Balancing.Ensure(setting, kept, pile.Pool);
    }

    private Pile? Rebuilt(Pile pile)
    {
        if (pile.Levels.Count == 0) return null;
        var trial = pile.Copy();
        var count = Math.Min(trial.Levels.Count, 1 + dice.Below(3));
        for (var k = 0; k < count; k++)
        {
            var at = setting.HasKeepOuts || k == 0 ? trial.Levels.Count - 1 : dice.Below(trial.Levels.Count);
            Building.GiveBack(trial.Levels[at], trial.Pool);
            trial.Levels.RemoveAt(at);
        }

        var preference = (Preference)dice.Below(4);
        building.Build(trial, preference, 0.3, options.SearchRounds);
        return trial;
    }
}
