namespace KilnShare.Core.Loading;

/// <summary>A deck in the pile with the ware on it.</summary>
internal sealed class Level(Deck deck, IReadOnlyList<Tray> trays, bool carriesPosts)
{
    public Deck Deck { get; } = deck;

    /// <summary>One a seat of the deck, then one a half level.</summary>
    public IReadOnlyList<Tray> Trays { get; } = trays;

    /// <summary>True when room was left for posts, so that another level may stand above.</summary>
    public bool CarriesPosts { get; } = carriesPosts;

    public long Weight => Trays.Sum(t => t.Weight);

    /// <summary>Shelves over part of this deck; only on the uppermost level.</summary>
    public IReadOnlyList<HalfLevel> Halves { get; init; } = [];

    /// <summary>Posts under the deck beyond the usual three; half shelves load it on one side.</summary>
    public IReadOnlyList<Axis> MoreAxes { get; init; } = [];

    /// <summary>The level's number in the start plan; null when it was built since.</summary>
    public int? Origin { get; init; }

    /// <summary>Top of the highest ware over the deck's upper face, µm.</summary>
    public long Tallest
    {
        get
        {
            long tallest = 0;
            for (var t = 0; t < Trays.Count; t++) tallest = Math.Max(tallest, Trays[t].Tallest + OffsetOf(t));
            return tallest;
        }
    }

    /// <summary>Upper face of a tray's shelf over the deck's, µm.</summary>
    public long OffsetOf(int tray) => tray < Deck.Seats.Count ? 0 : Halves[tray - Deck.Seats.Count].Top;

    /// <summary>The same with so much height for ware on each shelf of the deck; no less than it needs.</summary>
    public Level Under(long room) => Trays.All(t => t.Room.Room == room) ? this : With([.. Trays.Select(t => t.Under(room))]);

    public Level Copy() => With([.. Trays.Select(t => t.Copy())]);

    private Level With(IReadOnlyList<Tray> other) => new(Deck, other, CarriesPosts) { Halves = Halves, MoreAxes = MoreAxes, Origin = Origin };
}

/// <summary>Levels from the lowest up, with the ware that waits.</summary>
internal sealed class Pile(Design design, List<Level> levels, LotPool pool, KeptBase? kept = null)
{
    /// <summary>What stays below; null where the pile begins on the floor.</summary>
    public KeptBase? Kept { get; } = kept;

    public Design Design { get; } = design;

    public List<Level> Levels { get; } = levels;

    public LotPool Pool { get; } = pool;

    public long Weight => Levels.Sum(l => l.Weight) + (Kept?.Trays.Sum(t => t.Weight) ?? 0);

    public Pile Copy() => new(Design, [.. Levels.Select(l => l.Copy())], Pool.Copy(), Kept?.Copy());
}

/// <summary>How high everything comes to lie.</summary>
/// <param name="Undersides">Of each level's shelves, µm over the floor.</param>
/// <param name="Posts">For each level the lengths that each post under it is made of; empty where nothing stands under it.</param>
/// <param name="Top">Top of the highest ware, µm over the floor.</param>
internal sealed record Elevation(long[] Undersides, long[][][] Posts, long Top)
{
    /// <summary>The same for each half level of the uppermost deck.</summary>
    public long[][][] HalfPosts { get; init; } = [];
}

/// <summary>Works out how high the levels of a pile lie, and whether the posts suffice.</summary>
internal static class Elevations
{
    /// <summary>The lowest that the levels can lie in their order; null when they are too high or the posts do not suffice.</summary>
    public static Elevation? Of(Setting setting, Pile pile) => Of(setting, pile, pile.Levels);

    /// <summary>The same with other levels on what the pile keeps.</summary>
    public static Elevation? Of(Setting setting, Pile pile, IReadOnlyList<Level> levels)
    {
        if (levels.Count == 0) return Topped(setting, pile.Kept, levels, [], []);
        var counts = PostCounts(pile.Design, levels);
        var needs = new long[levels.Count];
        needs[0] = pile.Kept is { } kept ? Math.Max(1, kept.WareTop + setting.Headroom - kept.Top) : setting.FromStock ? LoadLimits.LowestPostMicrometres : 0;
        for (var i = 1; i < levels.Count; i++) needs[i] = levels[i - 1].Tallest + setting.Headroom;
        return setting.FromStock ? WithStock(setting, pile.Kept, levels, needs, counts) : Freely(setting, pile.Kept, levels, needs, counts);
    }

    /// <summary>How many posts stand under each level: its own and those that run on to the levels above.</summary>
    public static int[] PostCounts(Design design, IReadOnlyList<Level> levels) => [.. Axes(design, levels).Select(a => a.Count)];

    /// <summary>The posts under each level.</summary>
    public static List<Axis>[] Axes(Design design, IReadOnlyList<Level> levels)
    {
        var axes = new List<Axis>[levels.Count];
        for (var i = levels.Count - 1; i >= 0; i--)
        {
            axes[i] = [.. design.AxesOf(levels[i].Deck).Union(levels[i].MoreAxes)];
            if (i + 1 < levels.Count) axes[i].AddRange(axes[i + 1].Except(axes[i]));
        }

        return axes;
    }

    private static Elevation? Freely(Setting setting, KeptBase? kept, IReadOnlyList<Level> levels, long[] needs, int[] counts)
    {
        var undersides = new long[levels.Count];
        var posts = new long[levels.Count][][];
        var at = kept?.Top ?? 0;
        for (var i = 0; i < levels.Count; i++)
        {
            if (setting.LowestFor(levels[i].Deck.Seats, levels[i].Deck.Thickness, at + needs[i]) is not { } underside) return null;
            undersides[i] = underside;
            // The lowest lies on the floor, unless a keep-out is in its way there.
            var standing = setting.HasPosts && underside > 0 ? counts[i] : 0;
            posts[i] = [.. Enumerable.Range(0, standing).Select(_ => new[] { underside - at })];
            at = underside + levels[i].Deck.Thickness;
        }

        var halves = levels[^1].Halves.Select(h => h.Axes.Select(_ => new[] { h.Underside - h.From }).ToArray()).ToArray();
        return Topped(setting, kept, levels, undersides, posts) is { } found ? found with { HalfPosts = halves } : null;
    }

    private static Elevation? WithStock(Setting setting, KeptBase? kept, IReadOnlyList<Level> levels, long[] needs, int[] counts)
    {
        var sums = new long[levels.Count];
        var at = kept?.Top ?? 0;
        for (var i = 0; i < levels.Count; i++)
        {
            if (LengthUnder(setting, levels[i].Deck, at, needs[i]) is not { } sum) return null;
            sums[i] = sum;
            at += sum + levels[i].Deck.Thickness;
        }

        while (true)
        {
            var undersides = Undersides(kept, levels, sums);
            // Posts made longer below have lifted what is above, perhaps into a keep-out.
            if (Topped(setting, kept, levels, undersides, []) is null) return null;
            if (setting.Stock.Allot(Demands(levels, sums, counts)) is { } posts)
                return Topped(setting, kept, levels, undersides, posts[..levels.Count]) is { } found ? found with { HalfPosts = posts[levels.Count..] } : null;

            if (!Lengthen(setting, kept, levels, sums, counts)) return null;
        }
    }

    // A level whose height has changed since it was filled may have come to where a keep-out is.
    private static bool KeepOutsAreKept(Setting setting, IReadOnlyList<Level> levels, long[] undersides)
    {
        for (var i = 0; setting.HasKeepOuts && i < levels.Count; i++)
        {
            var (level, top) = (levels[i], undersides[i] + levels[i].Deck.Thickness);
            if (!setting.DeckMayLie(level.Deck, undersides[i])) return false;
            if (!level.Halves.All(h => setting.ShelfMayLie(h.Seat, h.Thickness, top + h.Underside))) return false;
            for (var t = 0; t < level.Trays.Count; t++)
            {
                var floor = top + level.OffsetOf(t);
                if (floor != level.Trays[t].Room.Floor && !level.Trays[t].Standings.All(s => setting.MayStand(s, floor))) return false;
            }
        }

        return true;
    }

    private static List<(long Sum, int Posts)> Demands(IReadOnlyList<Level> levels, long[] sums, int[] counts) =>
        [.. sums.Select((s, i) => (s, counts[i])), .. levels[^1].Halves.Select(h => (h.Underside - h.From, h.Axes.Length))];

    // The one level whose next longer posts make the stock suffice; else the one where that costs least.
    private static bool Lengthen(Setting setting, KeptBase? kept, IReadOnlyList<Level> levels, long[] sums, int[] counts)
    {
        var (best, bestCost, bestSum) = (-1, long.MaxValue, 0L);
        for (var i = 0; i < sums.Length; i++)
        {
            var before = sums[i];
            if (LengthUnder(setting, levels[i].Deck, Undersides(kept, levels, sums)[i] - before, before + 1) is not { } longer) continue;
            sums[i] = longer;
            var suffices = setting.Stock.Allot(Demands(levels, sums, counts)) is not null;
            sums[i] = before;
            var cost = longer - before + (suffices ? 0 : LoadLimits.MaxLengthMicrometres);
            if (cost < bestCost) (best, bestCost, bestSum) = (i, cost, longer);
        }

        if (best >= 0) sums[best] = bestSum;
        return best >= 0;
    }

    private static long? LengthUnder(Setting setting, Deck deck, long from, long least)
    {
        var sum = setting.Stock.AtLeast(least);
        while (sum is { } s && !setting.DeckMayLie(deck, from + s)) sum = setting.Stock.AtLeast(s + 1);
        return sum;
    }

    private static long[] Undersides(KeptBase? kept, IReadOnlyList<Level> levels, long[] sums)
    {
        var undersides = new long[levels.Count];
        var at = kept?.Top ?? 0;
        for (var i = 0; i < levels.Count; i++)
        {
            undersides[i] = at + sums[i];
            at = undersides[i] + levels[i].Deck.Thickness;
        }

        return undersides;
    }

    private static Elevation? Topped(Setting setting, KeptBase? kept, IReadOnlyList<Level> levels, long[] undersides, long[][][] posts)
    {
        var top = kept?.WareTop ?? 0;
        for (var i = 0; i < levels.Count; i++) top = Math.Max(top, undersides[i] + levels[i].Deck.Thickness + levels[i].Tallest);
        return top <= setting.Lid && KeepOutsAreKept(setting, levels, undersides) ? new Elevation(undersides, posts, top) : null;
    }
}
