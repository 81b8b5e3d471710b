namespace KilnShare.Core.Loading;

/// <summary>
/// Moves ware that asks for a hotter or cooler place to where it is so, into free room or in exchange for other ware, where that costs nothing:
/// no piece leaves the load. What stands where a start plan had it is left alone.
/// </summary>
internal sealed class Wishing(Setting setting, LoadOptions options, Meter meter, Dice dice)
{
    // Moves tried at most, so that a large load is not held up.
    private const int MostLooks = 400;
    private const int MostOthers = 4;
    private const int Rounds = 2;

    // Copies that may make room for one that comes.
    private const int Nudged = 3;

    private readonly Insertion insertion = new(setting.Distances, options, meter, dice);
    private int looks;

    /// <summary>The pile with fewer wishes unmet; the same where nobody asks or nothing can be done.</summary>
    public Pile Meet(Pile pile)
    {
        if (!IsAsked(setting, pile.Pool)) return pile;
        for (var round = 0; round < Rounds; round++)
        {
            var before = pile;
            for (var from = 0; from < Trays(pile).Count; from++)
            {
                for (var at = Trays(pile)[from].Standings.Count - 1; at >= 0 && !meter.Stop; at--) pile = Moved(pile, from, at) ?? pile;
            }

            if (pile == before) break;
        }

        return pile;
    }

    /// <summary>True where some ware asks for a hot or cool place and the kiln has such.</summary>
    public static bool IsAsked(Setting setting, LotPool pool) => setting.Problem.HeatZones.Count > 0 && pool.All.Any(l => l.Wish is not null);

    /// <summary>Copies that would rather stand elsewhere; null where the levels do not go in that order.</summary>
    public static int? Unmet(Setting setting, Pile pile, IReadOnlyList<Level> levels)
    {
        if (Elevations.Of(setting, pile, levels) is not { } elevation) return null;
        var unmet = 0;
        foreach (var (tray, floor) in TraysOf(pile, levels, elevation))
            unmet += tray.Standings.Where(s => setting.IsUnmet(s.Lot, floor)).Sum(s => s.Count);
        return unmet;
    }

    private static List<(Tray Tray, long Floor)> TraysOf(Pile pile, IReadOnlyList<Level> levels, Elevation elevation)
    {
        List<(Tray, long)> trays = [.. (pile.Kept?.Trays ?? []).Select(t => (t, t.Room.Floor))];
        for (var i = 0; i < levels.Count; i++)
        {
            for (var t = 0; t < levels[i].Trays.Count; t++) trays.Add((levels[i].Trays[t], elevation.Undersides[i] + levels[i].Deck.Thickness + levels[i].OffsetOf(t)));
        }

        return trays;
    }

    // One standing where it would rather be; null when it is there, or that cannot be.
    private Pile? Moved(Pile pile, int from, int at)
    {
        if (Elevations.Of(setting, pile) is not { } elevation) return null;
        var trays = TraysOf(pile, pile.Levels, elevation);
        if (at >= trays[from].Tray.Standings.Count) return null;
        var standing = trays[from].Tray.Standings[at];
        if (standing.Were.Count > 0 || standing.Count > 1 || !setting.IsUnmet(standing.Lot, trays[from].Floor)) return null;
        return Enumerable.Range(0, trays.Count).Where(to => !setting.IsUnmet(standing.Lot, trays[to].Floor) && standing.Height <= trays[to].Tray.Room.Room)
            .Select(to => Moved(pile, from, at, to)).FirstOrDefault(p => p is not null);
    }

    private Pile? Moved(Pile pile, int from, int at, int to)
    {
        if (Tried(pile, from, at, to, null) is { } moved) return moved;
        var (others, own) = (Trays(pile)[to].Standings, Trays(pile)[from].Standings[at].Lot.Shape.Area);
        // What is about as large changes places most easily.
        return Enumerable.Range(0, others.Count).Where(i => others[i].Were.Count == 0 && others[i].Count == 1 && others[i].Lot.Wish != Trays(pile)[from].Standings[at].Lot.Wish)
            .OrderBy(i => Math.Abs(others[i].Lot.Shape.Area - own)).Take(MostOthers)
            .Select(other => Tried(pile, from, at, to, other)).FirstOrDefault(p => p is not null);
    }

    private Pile? Tried(Pile pile, int from, int at, int to, int? other)
    {
        if (looks++ >= MostLooks || meter.Stop) return null;
        var trial = pile.Copy();
        var (source, target) = (Trays(trial)[from], Trays(trial)[to]);
        var (comes, goes) = (source.Standings[at], other is { } o ? target.Standings[o] : null);
        source.RemoveAt(at);
        if (other is { } index) target.RemoveAt(index);
        if (!Put(target, comes) || (goes is not null && !Put(source, goes))) return null;
        var before = trial.Weight;
        foreach (var level in trial.Levels) Balancing.Ensure(setting, trial.Design, level, trial.Pool);
        if (trial.Kept is { } kept && !Balancing.Ensure(setting, kept, trial.Pool)) return null;
        return trial.Weight == before && Unmet(setting, trial, trial.Levels) is { } unmet && unmet < Unmet(setting, pile, pile.Levels) ? trial : null;
    }

    private bool Put(Tray tray, Standing standing) =>
        insertion.TryPlace(tray, standing.Lot, null)
        || (tray.Standings.All(s => s.Were.Count == 0) && insertion.TryNudge(tray, standing.Lot, Nudged, options.FirstRounds));

    private static List<Tray> Trays(Pile pile) => [.. pile.Kept?.Trays ?? [], .. pile.Levels.SelectMany(l => l.Trays)];
}
