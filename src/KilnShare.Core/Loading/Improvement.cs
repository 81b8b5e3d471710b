namespace KilnShare.Core.Loading;

/// <summary>
/// Improves a pile of levels: squeezes in what waits, and takes levels apart to build them anew (large neighbourhood search, Shaw 1998).
/// </summary>
internal sealed class Improvement(Setting setting, LoadOptions options, Meter meter, Dice dice, Building building, bool fromStart = false)
{
    private readonly bool mostlyBoxes = setting.MostlyBoxes;
    private int hops = options.FirstHops;
    private bool byArea;

    /// <summary>More weight, or as much and lower.</summary>
    public static bool IsBetter(Setting setting, Pile a, Pile b)
    {
        if (a.Weight != b.Weight) return a.Weight > b.Weight;
        return TopOf(setting, a) < TopOf(setting, b);
    }

    // A rebuilt pile may be worse than the present one by this part and still be gone on from.
    private const double Leniency = 0.006;

    // A piece may take so many times the area that was cleared, with what was free around it.
    private const double Roomier = 1.5;

    private const int PolishesPerLevel = 3;

    // Where posts could stand otherwise, each so many-th rebuilding begins on the floor.
    private const int WholesPerDesign = 8;

    // After so many tries without a better plan the search goes back to the best; sooner where as little as can be is to move.
    private readonly int patience = fromStart ? 20 : 150;

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
        var (best, current, since) = (start, start, 0);
        while (!meter.Stop && !best.Pool.IsEmpty)
        {
            meter.Tick();
            var trial = Neighbour(current);
            since++;
            if (trial is not null && trial.Weight >= current.Weight * (1 - (Leniency * dice.Unit()))) current = trial;
            if (IsBetter(setting, current, best)) (best, since) = (current, 0);
            if (since > patience) (current, since) = (best, 0);
        }

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
        byArea = true;
        var current = Cut(from);
        var (least, since) = (double.PositiveInfinity, 0);
        while (!meter.Stop)
        {
            if (current.Pool.IsEmpty) return current;
            meter.Tick();
            if (Neighbour(current) is { } trial && trial.Pool.WaitingArea <= current.Pool.WaitingArea * (1 + (0.1 * dice.Unit()))) current = trial;
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
            TakeOut(trial, trial.Levels[^1].CarriesPosts && !setting.HasKeepOuts ? dice.Below(trial.Levels.Count) : trial.Levels.Count - 1);
            if (Elevations.Of(setting, trial) is not null) break;
        }

        Build(trial);
        return trial;
    }

    private void Build(Pile pile)
    {
        int? splitAt = dice.Below(3) == 0 ? pile.Levels.Count + dice.Below(2) : null;
        building.Build(pile, (Preference)dice.Below(4), 0.3, options.SearchRounds, splitAt);
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

    private static void TakeOut(Pile pile, int level)
    {
        Building.GiveBack(pile.Levels[level], pile.Pool);
        pile.Levels.RemoveAt(level);
    }

    private static long TopOf(Setting setting, Pile pile) => Elevations.Of(setting, pile)?.Top ?? long.MaxValue;

    // Rectangles seldom gain from being pushed about, and rebuilding is dear: there the small changes come first.
    private Pile? Neighbour(Pile pile)
    {
        var draw = dice.Below(1000);
        if (!mostlyBoxes && draw < (pile.Levels.Count > 1 ? options.HopsPerThousand / 60 : options.HopsPerThousand)) return Hopped(pile);
        draw = dice.Below(1000);
        var several = pile.Levels.Count > 1;
        // From a start plan what moves least comes first.
        var (squeezes, rebuilds) = mostlyBoxes ? (1, several ? 20 : 1) : (several && !fromStart ? 50 : 300, several || setting.Designs.Count > 1 ? 100 : 20);
        if (draw < squeezes) return Squeezed(pile);
        if (draw < squeezes + rebuilds) return Rebuilt(pile);
        return mostlyBoxes ? Exchanged(pile) : Refilled(pile);
    }

    // Rectangles of one shelf are exchanged many times over.
    private Pile? Exchanged(Pile pile)
    {
        var trial = pile.Copy();
        if (AnyShelves(trial) is not { } trays) return null;
        var tray = trays[dice.Below(trays.Count)];
        if (!BoxSearch.CanSearch(trial.Pool, setting.Distances)) return Refilled(pile);
        return BoxSearch.Run(tray, trial.Pool, setting.Distances, meter, dice, options.Exchanges, byArea) ? Sound(trial) : null;
    }

    // One waiting copy is squeezed in.
    private Pile? Squeezed(Pile pile)
    {
        var waiting = pile.Pool.All.Where(w => pile.Pool.Waiting[w.Index] > 0).ToList();
        if (waiting.Count == 0) return null;
        var trial = pile.Copy();
        var lot = waiting[dice.Below(waiting.Count)];
        if (AnyShelves(trial) is not { } trays) return null;
        if (!building.Filling.TryCheaply(trays, lot) && !building.Filling.TrySqueeze(trays, lot, options.SearchRounds)) return null;
        trial.Pool.Waiting[lot.Index]--;
        return Sound(trial);
    }

    // One waiting copy is given a long search on one shelf; the longer the more such searches have failed.
    private Pile? Hopped(Pile pile)
    {
        var waiting = pile.Pool.All.Where(w => pile.Pool.Waiting[w.Index] > 0).ToList();
        var trial = pile.Copy();
        if (waiting.Count == 0 || AnyShelves(trial) is not { } trays) return null;
        var lot = waiting[dice.Below(waiting.Count)];
        hops = Math.Min(options.MostHops, hops + (hops / 4));
        if (!building.Filling.TryHop(trays[dice.Below(trays.Count)], lot, hops)) return null;
        hops = options.FirstHops;
        trial.Pool.Waiting[lot.Index]--;
        return Sound(trial);
    }

    // What stands near one place on a shelf is taken off, and the shelf is filled anew.
    private Pile? Refilled(Pile pile, int first = 0)
    {
        var trial = pile.Copy();
        if (AnyShelves(trial, first) is not { } trays) return null;
        var tray = trays[dice.Below(trays.Count)];
        var movable = Enumerable.Range(0, tray.Standings.Count).Where(i => tray.Standings[i].Kept.Count == 0).ToList();
        if (movable.Count == 0) return null;
        var boxes = movable.TrueForAll(i => Insertion.IsBox(tray.Standings[i].Lot));
        var middle = tray.Standings[movable[dice.Below(movable.Count)]];
        var taken = movable.OrderBy(i => Geometry.Distance(tray.Standings[i].CentreX, tray.Standings[i].CentreY, middle.CentreX, middle.CentreY))
            .Take(1 + dice.Below(boxes ? 7 : 4)).OrderDescending().ToList();
        var hole = new Hole(Window.About(taken.Select(i => tray.Standings[i])), Roomier * taken.Sum(i => tray.Standings[i].Lot.Shape.Area));
        foreach (var i in taken)
        {
            trial.Pool.Waiting[tray.Standings[i].Lot.Index] += tray.Standings[i].Count;
            tray.RemoveAt(i);
        }

        building.Filling.Fill(trays, trial.Pool, (Preference)(1 + dice.Below(3)), 0.6, options.SearchRounds, boxes && dice.Below(1000) > 0 ? 0 : 2, hole);
        return Sound(trial);
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
        if (pile.Kept is { } kept) Balancing.Ensure(setting, kept, pile.Pool);
        return Elevations.Of(setting, pile) is null ? null : pile;
    }

    private Pile? Rebuilt(Pile pile)
    {
        if (pile.Levels.Count == 0) return null;
        var trial = pile.Copy();
        var anew = setting.Designs.Count > 1 && pile.Kept is null && !fromStart && dice.Below(WholesPerDesign) == 0;
        var count = anew ? trial.Levels.Count : Math.Min(trial.Levels.Count, 1 + dice.Below(fromStart ? 2 : 3));
        for (var k = 0; k < count; k++)
        {
            var at = setting.HasKeepOuts || k == 0 ? trial.Levels.Count - 1 : dice.Below(trial.Levels.Count);
            TakeOut(trial, at);
        }

        if (anew) trial = new Pile(setting.Designs[dice.Below(setting.Designs.Count)], [], trial.Pool);
        var first = trial.Levels.Count;
        Build(trial);
        return mostlyBoxes || fromStart ? trial : Polished(trial, first);
    }
}
