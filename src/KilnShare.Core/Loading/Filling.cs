namespace KilnShare.Core.Loading;

/// <summary>In what order waiting ware is offered to a level.</summary>
internal enum Preference
{
    /// <summary>The tallest first.</summary>
    Height,

    /// <summary>The most weight for its area first.</summary>
    Density,

    /// <summary>The largest footprint first.</summary>
    Area,

    /// <summary>The most weight first.</summary>
    Weight,
}

/// <summary>Fills one level from the waiting ware.</summary>
internal sealed class Filling(Setting setting, LoadOptions options, Meter meter, Dice dice)
{
    private readonly Insertion insertion = new(setting.Distances, options, meter, dice);

    /// <summary>Offers everything that waits to the level, in the order preferred, until too many tries in a row failed.</summary>
    public void Fill(IReadOnlyList<Tray> trays, WarePool pool, Preference preference, double noise, int rounds)
    {
        var room = trays.Max(t => t.Room.Room);
        var order = Ordered(pool, preference, noise, room);
        foreach (var ware in order)
        {
            while (pool.Waiting[ware.Index] > 0 && !meter.Stop && TryCheaply(trays, ware)) pool.Waiting[ware.Index]--;
        }

        var failures = 0;
        foreach (var ware in order)
        {
            while (pool.Waiting[ware.Index] > 0 && failures < options.FailuresPerLevel && !meter.Stop)
            {
                if (!TryHard(trays, ware, rounds))
                {
                    failures++;
                    break;
                }

                failures = 0;
                pool.Waiting[ware.Index]--;
            }
        }
    }

    public bool TryCheaply(IReadOnlyList<Tray> trays, Ware ware)
    {
        foreach (var tray in trays)
        {
            if (insertion.TryPlace(tray, ware)) return true;
        }

        return false;
    }

    public bool TryHard(IReadOnlyList<Tray> trays, Ware ware, int rounds)
    {
        foreach (var tray in trays)
        {
            if (insertion.TryPlace(tray, ware) || insertion.TrySqueeze(tray, ware, rounds)) return true;
        }

        return false;
    }

    private List<Ware> Ordered(WarePool pool, Preference preference, double noise, long room)
    {
        double Score(Ware w) => (1 + (noise * (dice.Unit() - 0.5))) * preference switch
        {
            Preference.Height => w.Height,
            Preference.Density => w.Weight / w.Shape.Area,
            Preference.Area => w.Shape.Area,
            _ => w.Weight,
        };
        return [.. pool.All.Where(w => pool.Waiting[w.Index] > 0 && w.Height <= room)
            .Select(w => (Ware: w, Score: Score(w))).OrderByDescending(x => x.Score).ThenByDescending(x => x.Ware.Shape.Area)
            .ThenBy(x => x.Ware.Index).Select(x => x.Ware)];
    }
}
