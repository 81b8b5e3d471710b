namespace KilnShare.Core.Loading;

/// <summary>The changes by which a search goes from one pile of levels to another near it.</summary>
internal sealed partial class Neighbourhood(Setting setting, LoadOptions options, Meter meter, Dice dice, Building building, bool fromStart)
{
    private const int PolishesPerLevel = 3;

    // Where posts could stand otherwise, each so many-th rebuilding begins on the floor.
    private const int WholesPerDesign = 8;

    private readonly bool mostlyBoxes = setting.MostlyBoxes;
    private readonly bool weightsDiffer = setting.Problem.Pieces.Select(p => p.Priority).Distinct().Skip(1).Any();
    private int hops = options.FirstHops;

    /// <summary>True where it matters what covers most, not what is worth most.</summary>
    public bool ByArea { get; set; }

    /// <summary>Levels on top of those there are, in an order drawn anew.</summary>
    public void Build(Pile pile)
    {
        int? splitAt = dice.Below(3) == 0 ? pile.Levels.Count + dice.Below(2) : null;
        building.Build(pile, (Preference)dice.Below(4), 0.3, options.SearchRounds, splitAt);
    }

    /// <summary>Gives what stands on a level back to the pool, and takes the level out.</summary>
    public static void TakeOut(Pile pile, int level)
    {
        Building.GiveBack(pile.Levels[level], pile.Pool);
        pile.Levels.RemoveAt(level);
    }

    // New levels are refilled here and there before they are compared with what has been improved for long.
    private Pile Polished(Pile pile, int first)
    {
        for (var i = PolishesPerLevel * (pile.Levels.Count - first); i > 0 && !meter.Stop && !pile.Pool.IsEmpty; i--)
        {
            meter.Tick();
            if (Refilled(pile, first) is { } refilled && refilled.Weight >= pile.Weight) pile = refilled;
        }

        return pile;
    }

    /// <summary>A pile that differs by one change; null where the change drawn does not go.</summary>
    public Pile? Near(Pile pile)
    {
        var chances = ChancesFor(pile);
        if (dice.Below(1000) < chances.Hops) return Hopped(pile);
        var draw = dice.Below(1000);
        if (draw < chances.Squeezes) return Squeezed(pile);
        if (draw < chances.Squeezes + chances.Rebuilds) return Rebuilt(pile);
        if (mostlyBoxes) return Exchanged(pile);
        return dice.Below(1000) < chances.Replacements ? Replaced(pile) : Refilled(pile);
    }

    // Of a thousand changes. Rectangles seldom gain from being pushed about, and rebuilding is dear: there the small changes come first.
    // From a start plan what moves least comes first. Where all weigh the same nothing is gained by one in another's stead, but by one more.
    private (int Hops, int Squeezes, int Rebuilds, int Replacements) ChancesFor(Pile pile)
    {
        var several = pile.Levels.Count > 1;
        var designs = setting.Designs.Count > 1;
        if (mostlyBoxes) return (0, 1, several ? 20 : 1, 0);
        if (fromStart || ByArea || !weightsDiffer)
            return (several ? options.HopsPerThousand / 60 : options.HopsPerThousand, several && !fromStart ? 50 : 300, several || designs ? 100 : 20, 0);
        return several ? (5, 50, 50, 200) : (15, 50, designs ? 100 : 20, 850);
    }

    // Rectangles of one shelf are exchanged many times over.
    private Pile? Exchanged(Pile pile)
    {
        var trial = pile.Copy();
        if (AnyShelves(trial) is not { } trays) return null;
        var tray = trays[dice.Below(trays.Count)];
        if (!BoxSearch.CanSearch(trial.Pool, setting.Distances)) return Refilled(pile);
        return BoxSearch.Run(tray, trial.Pool, setting.Distances, meter, dice, options.Exchanges, ByArea) ? Sound(trial) : null;
    }

    // One waiting copy is squeezed in.
    private Pile? Squeezed(Pile pile)
    {
        var trial = pile.Copy();
        if (AnyWaiting(trial.Pool) is not { } lot || AnyShelves(trial) is not { } trays) return null;
        if (!building.Filling.TryCheaply(trays, lot) && !building.Filling.TrySqueeze(trays, lot, options.SearchRounds)) return null;
        trial.Pool.Waiting[lot.Index]--;
        return Sound(trial);
    }

    // One waiting copy is given a long search on one shelf; the longer the more such searches have failed.
    private Pile? Hopped(Pile pile)
    {
        var trial = pile.Copy();
        if (AnyWaiting(trial.Pool) is not { } lot || AnyShelves(trial) is not { } trays) return null;
        hops = Math.Min(options.MostHops, hops + (hops / 4));
        if (!building.Filling.TryHop(trays[dice.Below(trays.Count)], lot, hops)) return null;
        hops = options.FirstHops;
        trial.Pool.Waiting[lot.Index]--;
        return Sound(trial);
    }

    private Lot? AnyWaiting(LotPool pool)
    {
        var waiting = pool.All.Where(w => pool.Waiting[w.Index] > 0).ToList();
        return waiting.Count == 0 ? null : waiting[dice.Below(waiting.Count)];
    }

    private IReadOnlyList<Tray>? AnyShelves(Pile pile, int first = 0)
    {
        var kept = pile.Kept is null ? 0 : 1;
        if (pile.Levels.Count + kept == first) return null;
        var at = first + dice.Below(pile.Levels.Count + kept - first);
        return at < pile.Levels.Count ? pile.Levels[at].Trays : pile.Kept!.Trays;
    }

    private Pile? Sound(Pile pile)
    {
        foreach (var level in pile.Levels) Balancing.Ensure(setting, pile.Design, level, pile.Pool);
        if (pile.Kept is { } kept && !Balancing.Ensure(setting, kept, pile.Pool)) return null;
        return Elevations.Of(setting, pile) is null ? null : pile;
    }

    private Pile? Rebuilt(Pile pile)
    {
        if (pile.Levels.Count == 0) return null;
        var trial = pile.Copy();
        var anew = setting.Designs.Count > 1 && pile.Kept is null && !fromStart && dice.Below(WholesPerDesign) == 0;
        var count = anew ? trial.Levels.Count : Math.Min(trial.Levels.Count, 1 + dice.Below(fromStart ? 2 : 3));
        TakeOutSome(trial, count);
        if (anew) trial = new Pile(setting.Designs[dice.Below(setting.Designs.Count)], [], trial.Pool);
        var first = trial.Levels.Count;
        Build(trial);
        return mostlyBoxes || fromStart ? trial : Polished(trial, first);
    }

    // The uppermost goes first: it is as high as was left over.
    private void TakeOutSome(Pile pile, int count)
    {
        for (var k = 0; k < count; k++) TakeOut(pile, setting.HasKeepOuts || k == 0 ? pile.Levels.Count - 1 : dice.Below(pile.Levels.Count));
    }
}
