namespace KilnShare.Core.Loading;

/// <summary>Builds levels from the floor up, or on top of levels that stay.</summary>
internal sealed class Building(Setting setting, LoadOptions options, Meter meter, Dice dice)
{
    // What of a shelf ware covers in a good plan.
    public const double UsableArea = 0.67;

    // The same when all levels are planned at once, and by how much it is varied.
    private const double PlannedArea = 0.69;
    private const double PlannedAreaSpread = 0.1;

    // Heights looked at for one level at most.
    private const int MostHeights = 60;

    private readonly Filling filling = new(setting, options, meter, dice);

    public Filling Filling => filling;

    /// <summary>Adds levels to the pile until nothing more fits: the tallest that waits opens each level.</summary>
    public void Build(Pile pile, Preference preference, double noise, int rounds, int? splitAt = null)
    {
        var heights = preference == Preference.Height ? new Queue<long>() : PlannedHeights(pile, noise);
        while (!meter.Stop && !pile.Pool.IsEmpty)
        {
            if (pile.Levels.Count >= splitAt && SplitLevel(pile, preference, noise, rounds) is { } split)
            {
                pile.Levels.Add(split);
                return;
            }

            if (NextLevel(pile, preference, noise, rounds, heights) is not { } level) return;
            pile.Levels.Add(level);
            if (!level.CarriesPosts) return;
        }
    }

    // A level that leaves room for another above when there is height for that, else one up to the lid.
    private Level? NextLevel(Pile pile, Preference preference, double noise, int rounds, Queue<long> heights)
    {
        long? planned = heights.Count > 0 ? heights.Dequeue() : null;
        foreach (var deck in pile.Design.Decks)
        {
            if (InStock(pile, deck) == 0) continue;
            if (Floor(pile, deck) is not { } floor) continue;
            var tallest = planned is not null || preference == Preference.Height
                ? pile.Pool.TallestWaiting(planned > LevelHeights.ToLid ? Math.Min(planned.Value, setting.Lid - floor) : setting.Lid - floor)
                : WorthiestHeight(pile.Pool, setting.Lid - floor, deck, noise);
            if (tallest == 0) continue;
            var carries = planned == LevelHeights.ToLid ? null : LeavesRoom(pile, floor, tallest);
            var room = carries is { } clear ? clear - setting.Headroom : setting.Lid - floor;
            var level = Fill(pile, deck, floor, room, carries is not null, preference, noise, rounds);
            if (level.Weight > 0 && Elevations.Of(setting, pile, [.. pile.Levels, level]) is not null) return level;
            GiveBack(level, pile.Pool);
        }

        return null;
    }

    // All heights at once; how much of a level is covered is not known beforehand.
    private Queue<long> PlannedHeights(Pile pile, double noise)
    {
        foreach (var deck in pile.Design.Decks)
        {
            var shelves = InStock(pile, deck);
            if (shelves == 0 || Floor(pile, deck) is not { } floor) continue;
            var usable = PlannedArea + (noise > 0 ? PlannedAreaSpread * (dice.Unit() - 0.5) : 0);
            return new Queue<long>(LevelHeights.Choose(setting, pile.Pool, deck, setting.Lid - floor, shelves, usable, dice, noise > 0 && shelves > 1));
        }

        return [];
    }

    // A whole deck with half shelves over it.
    private Level? SplitLevel(Pile pile, Preference preference, double noise, int rounds)
    {
        var whole = pile.Design.Decks.FirstOrDefault(d => d.Seats.Count == 1 && InStock(pile, d) > 0);
        var split = pile.Design.Decks.FirstOrDefault(d => d.Seats.Count == 2);
        if (whole is null || split is null || Floor(pile, whole) is not { } floor) return null;
        return new HalfBuilding(setting, options, meter, dice, this).Build(pile, whole, split, floor, preference, noise, rounds);
    }

    private Level Fill(Pile pile, Deck deck, long floor, long room, bool carries, Preference preference, double noise, int rounds)
    {
        var axes = carries ? PostsAbove(pile.Design) : [];
        var trays = deck.Seats.Select(s => new Tray(setting.RoomOf(s, axes, floor, room, deck.Seats), setting.Distances)).ToList();
        var level = new Level(deck, trays, carries);
        Open(level.Trays, pile.Pool, room);
        if (setting.MostlyBoxes && BoxSearch.CanSearch(pile.Pool, setting.Distances) && (!carries || HeightsAreEqual(pile.Pool)))
        {
            var byArea = preference == Preference.Height && MayAllFit(pile);
            foreach (var tray in level.Trays) BoxSearch.Fill(tray, pile.Pool, setting.Distances, meter, dice, options.BoxStarts, byArea);
            if (pile.Pool.All.All(BoxSearch.IsPlain)) return Balanced(pile, level);
        }

        filling.Fill(level.Trays, pile.Pool, preference, noise, rounds, setting.MostlyBoxes ? 0 : options.FailuresPerLevel);
        return Balanced(pile, level);
    }

    // Where all may find a place it matters what covers most, not what is worth most.
    private bool MayAllFit(Pile pile) =>
        pile.Pool.WaitingArea <= pile.Design.Decks.Sum(d => InStock(pile, d) * d.Seats.Sum(setting.AreaOf));

    private Level Balanced(Pile pile, Level level)
    {
        Balancing.Ensure(setting, pile.Design, level, pile.Pool);
        return level;
    }

    private static bool HeightsAreEqual(LotPool pool) => pool.LowestWaiting >= pool.TallestWaiting(LoadLimits.MaxLengthMicrometres);

    // The tallest goes on first: it is why the level is so high.
    public void Open(IReadOnlyList<Tray> trays, LotPool pool, long room)
    {
        var tallest = pool.All.Where(w => pool.Waiting[w.Index] > 0 && w.Height <= room).OrderByDescending(w => w.Height)
            .ThenByDescending(w => w.Shape.Area).ThenBy(w => w.Index).FirstOrDefault();
        if (tallest is not null && filling.TryCheaply(trays, tallest)) pool.Waiting[tallest.Index]--;
    }

    /// <summary>Every place where a post of the design may come to stand.</summary>
    public static List<Axis> PostsAbove(Design design) => [.. design.Axes.SelectMany(a => a).Distinct()];

    public static void GiveBack(Level level, LotPool pool)
    {
        foreach (var standing in level.Trays.SelectMany(t => t.Standings)) pool.Waiting[standing.Lot.Index] += standing.Count;
    }

    private int InStock(Pile pile, Deck deck)
    {
        var used = Used(pile, deck.Kind);
        return (setting.Problem.Furniture.Shelves[deck.Kind].Count - used) / deck.Seats.Count;
    }

    public static int Used(Pile pile, int kind) =>
        pile.Levels.Where(l => l.Deck.Kind == kind).Sum(l => l.Deck.Seats.Count) + pile.Levels.SelectMany(l => l.Halves).Count(h => h.Seat.Kind == kind) + (pile.Kept?.Seats.Count(s => s.Kind == kind) ?? 0);

    private long? Floor(Pile pile, Deck deck)
    {
        var probe = new Level(deck, [new Tray(setting.RoomOf(deck.Seats[0], [], 0, 0), setting.Distances)], false);
        return Elevations.Of(setting, pile, [.. pile.Levels, probe]) is { } e ? e.Undersides[^1] + deck.Thickness : null;
    }

    // The height whose best ware on a shelf is worth most for the height it takes, by area alone.
    public long WorthiestHeight(LotPool pool, long room, Deck deck, double noise)
    {
        var waiting = pool.All.Where(w => pool.Waiting[w.Index] > 0 && w.Height <= room).OrderByDescending(w => w.Weight / w.Shape.Area).ToList();
        var heights = waiting.Select(w => w.Height).Distinct().Order().ToList();
        var area = deck.Seats.Sum(setting.AreaOf) * UsableArea;
        var (best, bestWorth) = (0L, 0.0);
        for (var i = heights.Count - 1; i >= 0; i -= Math.Max(1, heights.Count / MostHeights))
        {
            var taken = heights[i] + setting.Headroom + deck.Thickness;
            var worth = WorthOn(pool, waiting, heights[i], area) / taken * (1 + (noise * (dice.Unit() - 0.5)));
            if (worth > bestWorth) (best, bestWorth) = (heights[i], worth);
        }

        return best;
    }

    private static double WorthOn(LotPool pool, List<Lot> byDensity, long height, double area)
    {
        double worth = 0;
        foreach (var lot in byDensity)
        {
            if (lot.Height > height) continue;
            var copies = Math.Min(pool.Waiting[lot.Index], area / lot.Shape.Area);
            worth += copies * lot.Weight;
            area -= copies * lot.Shape.Area;
            if (area <= 0) break;
        }

        return worth;
    }

    // The clear height for the tallest, where a shelf and the lowest ware still fit above; null when they do not.
    private long? LeavesRoom(Pile pile, long floor, long tallest)
    {
        var clear = setting.FromStock ? setting.Stock.AtLeast(tallest + setting.Headroom) : tallest + setting.Headroom;
        if (clear is not { } height) return null;
        var lowest = pile.Pool.LowestWaiting;
        var above = pile.Design.Decks.Where(d => setting.Problem.Furniture.Shelves[d.Kind].Count - Used(pile, d.Kind) > d.Seats.Count);
        return above.Any(d => floor + height + d.Thickness + lowest <= setting.Lid) ? height : null;
    }
}
