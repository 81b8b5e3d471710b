namespace KilnShare.Core.Loading;

/// <summary>Puts ware back where a start plan had it, where that costs nothing: a replan moves as few pieces as it can.</summary>
internal sealed class Restoring(Setting setting, LoadOptions options, Meter meter, Dice dice)
{
    // Rounds over all that were moved; few are ever needed.
    private const int MostRounds = 4;

    // Places looked at closely at most, so that a large load is not held up.
    private const int MostLooks = 300;

    // Copies that may make room for one that loses its place to what stood there before.
    private const int NudgedAtMost = 3;

    private readonly Insertion insertion = new(setting.Distances, options, meter, dice);
    private int looks;

    /// <summary>The pile with as many copies as can be where they stood; none leaves it and nothing else becomes worse.</summary>
    public Pile Restore(Pile pile, Pile start)
    {
        foreach (var level in start.Levels)
        {
            if (!meter.Stop) pile = Returned(pile, level) ?? pile;
        }

        var places = PlacesIn(start).ToList();
        for (var round = 0; round < MostRounds; round++)
        {
            var before = pile;
            foreach (var place in places)
            {
                if (looks < MostLooks && !meter.Stop && HomeOf(pile, place) is { } home && !home.Standings.Any(s => IsThere(s, place.Was))) pile = Returned(pile, place) ?? pile;
            }

            if (pile == before) break;
        }

        while (pile.Levels.Count > 0 && pile.Levels[^1].Weight == 0) pile.Levels.RemoveAt(pile.Levels.Count - 1);
        return pile;
    }

    private static IEnumerable<Spot> PlacesIn(Pile start) => start.Levels
        .SelectMany(l => l.Trays.SelectMany((t, i) => t.Standings.Select(s => new Spot(l.Origin, i, s))))
        .Concat((start.Kept?.Trays ?? []).SelectMany((t, i) => t.Standings.Select(s => new Spot(null, i, s))));

    // The shelf it stood on; null where that level is gone.
    private static Tray? HomeOf(Pile pile, Spot place) =>
        place.Level is { } level ? pile.Levels.Find(l => l.Origin == level)?.Trays[place.Tray] : pile.Kept!.Trays[place.Tray];

    private static bool IsThere(Standing standing, Standing was) =>
        ReferenceEquals(standing, was) || (standing.Lot == was.Lot && standing.X == was.X && standing.Y == was.Y && standing.Turn == was.Turn);

    // The pile with a level that was built since made that level again, as far as what stood there is on it or on none that is left.
    private Pile? Returned(Pile pile, Level was)
    {
        if (pile.Levels.Exists(l => l.Origin == was.Origin)) return null;
        return Enumerable.Range(0, pile.Levels.Count).Where(i => pile.Levels[i].Origin is null && pile.Levels[i].Deck == was.Deck && pile.Levels[i].Halves.Count == 0)
            .OrderByDescending(i => Shared(pile.Levels[i], was)).Select(i => Returned(pile, i, was)).FirstOrDefault(p => p is not null);
    }

    private Pile? Returned(Pile pile, int at, Level was)
    {
        var trial = pile.Copy();
        var now = trial.Levels[at];
        var level = new Level(was.Deck, [.. now.Trays.Select(t => new Tray(t.Room, setting.Distances))], now.CarriesPosts) { Origin = was.Origin };
        trial.Levels[at] = level;
        var left = now.Trays.SelectMany(t => t.Standings).ToList();
        for (var t = 0; t < level.Trays.Count; t++)
        {
            foreach (var standing in was.Trays[t].Standings)
            {
                var own = left.FindIndex(s => s.Lot == standing.Lot && s.Count == standing.Count);
                if (own < 0 || !level.Trays[t].Allows(standing)) continue;
                left.RemoveAt(own);
                level.Trays[t].Add(standing);
            }
        }

        return left.OrderByDescending(s => s.Lot.Shape.Area).All(s => Place(trial, s) || Nudge(trial, s)) && IsSound(trial) ? trial : null;
    }

    private static int Shared(Level now, Level was) =>
        was.Trays.SelectMany(t => t.Standings).Select(s => s.Lot).Intersect(now.Trays.SelectMany(t => t.Standings).Select(s => s.Lot)).Count();

    private bool Nudge(Pile pile, Standing standing) =>
        standing.Count == 1 && AllTrays(pile).Any(t => insertion.TryNudge(t, standing.Lot, NudgedAtMost, options.SearchRounds));

    // The pile with one of that lot back in its place; what came to stand there goes to its own, or where there is room.
    private Pile? Returned(Pile pile, Spot place)
    {
        looks++;
        var trial = pile.Copy();
        var (home, was) = (HomeOf(trial, place)!, place.Was);
        foreach (var other in AllTrays(trial))
        {
            var at = IndexOf(other, s => s.Lot == was.Lot && s.Count == was.Count && s.Were.Count == 0);
            if (at < 0) continue;
            other.RemoveAt(at);
            var away = Clear(home, was);
            if (away is null) return null;
            home.Add(was);
            return away.All(s => Place(trial, s)) && IsSound(trial) ? trial : null;
        }

        return null;
    }

    // Takes off what stands in the way; null where that stands where it stood.
    private static List<Standing>? Clear(Tray home, Standing was)
    {
        var away = new List<Standing>();
        while (!home.Allows(was))
        {
            var at = IndexOf(home, s => s.Were.Count == 0 && !home.KeepsFrom(s, was));
            if (at < 0) return null;
            away.Add(home.Standings[at]);
            home.RemoveAt(at);
        }

        return away;
    }

    // A stack may come to stand on several shelves.
    private bool Place(Pile pile, Standing standing)
    {
        var left = standing.Count;
        foreach (var tray in AllTrays(pile))
        {
            while (left > 0 && insertion.TryPlace(tray, standing.Lot, null)) left--;
        }

        return left == 0;
    }

    private bool IsSound(Pile pile)
    {
        var before = pile.Weight;
        if (pile.Kept is { } kept && !Balancing.Ensure(setting, kept, pile.Pool)) return false;
        foreach (var level in pile.Levels) Balancing.Ensure(setting, pile.Design, level, pile.Pool);
        return pile.Weight == before && Elevations.Of(setting, pile) is not null;
    }

    private static IEnumerable<Tray> AllTrays(Pile pile) => pile.Levels.SelectMany(l => l.Trays).Reverse().Concat(pile.Kept?.Trays ?? []);

    private static int IndexOf(Tray tray, Func<Standing, bool> fits)
    {
        for (var i = 0; i < tray.Standings.Count; i++)
        {
            if (fits(tray.Standings[i])) return i;
        }

        return -1;
    }

    // A level of the start plan, null for shelves that stay; a shelf of it; what stood there.
    private readonly record struct Spot(int? Level, int Tray, Standing Was);
}
