namespace KilnShare.Core.Loading.Levels;

/// <summary>How high everything comes to lie.</summary>
/// <param name="Undersides">Of each level's shelves, µm over the floor.</param>
/// <param name="Posts">For each level, and each post under it, the lengths that the post is made of; empty where nothing stands under the level.</param>
/// <param name="WareTop">Top of the highest ware, µm over the floor.</param>
internal sealed record Elevation(long[] Undersides, long[][][] Posts, long WareTop)
{
    /// <summary>The same for each half level of the uppermost deck.</summary>
    public long[][][] HalfPosts { get; init; } = [];
}

/// <summary>Works out how high the levels of a plan lie, and whether the posts suffice.</summary>
internal static class Elevations
{
    /// <summary>The lowest that the levels can lie in their order; null when they are too high or the posts do not suffice.</summary>
    public static Elevation? Of(LoadInstance instance, PartialPlan plan) => Of(instance, plan, plan.Levels);

    /// <summary>The same with other levels on what the plan keeps.</summary>
    public static Elevation? Of(LoadInstance instance, PartialPlan plan, IReadOnlyList<Level> levels)
    {
        if (levels.Count == 0) return Topped(instance, plan.Kept, levels, [], []);
        var counts = PostCounts(plan.Layout, levels);
        var needs = new long[levels.Count];
        needs[0] = plan.Kept is { } kept ? Math.Max(1, kept.WareTop + instance.Headroom - kept.ShelfTop)
            : instance.FromStock ? LoadLimits.LowestPostMicrometres : 0;
        for (var i = 1; i < levels.Count; i++) needs[i] = levels[i - 1].Tallest + instance.Headroom;
        return instance.FromStock ? WithStock(instance, plan.Kept, levels, needs, counts) : Freely(instance, plan.Kept, levels, needs, counts);
    }

    /// <summary>How many posts stand under each level: its own, and those under posts of the levels above.</summary>
    public static int[] PostCounts(Layout layout, IReadOnlyList<Level> levels) => [.. Axes(layout, levels).Select(a => a.Count)];

    /// <summary>The posts under each level.</summary>
    public static List<Axis>[] Axes(Layout layout, IReadOnlyList<Level> levels)
    {
        var axes = new List<Axis>[levels.Count];
        for (var i = levels.Count - 1; i >= 0; i--)
        {
            axes[i] = [.. layout.AxesOf(levels[i].Deck).Union(levels[i].MoreAxes)];
            if (i + 1 < levels.Count) axes[i].AddRange(axes[i + 1].Except(axes[i]));
        }

        return axes;
    }

    private static Elevation? Freely(LoadInstance instance, KeptBase? kept, IReadOnlyList<Level> levels, long[] needs, int[] counts)
    {
        var undersides = new long[levels.Count];
        var posts = new long[levels.Count][][];
        var at = kept?.ShelfTop ?? 0;
        for (var i = 0; i < levels.Count; i++)
        {
            if (instance.LowestFor(levels[i].Deck.Seats, levels[i].Deck.Thickness, at + needs[i]) is not { } underside) return null;
            undersides[i] = underside;
            // The lowest lies on the floor, unless a keep-out is in its way there.
            var under = instance.HasPosts && underside > 0 ? counts[i] : 0;
            posts[i] = [.. Enumerable.Range(0, under).Select(_ => new[] { underside - at })];
            at = underside + levels[i].Deck.Thickness;
        }

        var halves = levels[^1].Halves.Select(h => h.Axes.Select(_ => new[] { h.Underside - h.From }).ToArray()).ToArray();
        return Topped(instance, kept, levels, undersides, posts) is { } found ? found with { HalfPosts = halves } : null;
    }

    private static Elevation? WithStock(LoadInstance instance, KeptBase? kept, IReadOnlyList<Level> levels, long[] needs, int[] counts)
    {
        var sums = new long[levels.Count];
        var at = kept?.ShelfTop ?? 0;
        for (var i = 0; i < levels.Count; i++)
        {
            if (LengthUnder(instance, levels[i].Deck, at, needs[i]) is not { } sum) return null;
            sums[i] = sum;
            at += sum + levels[i].Deck.Thickness;
        }

        while (true)
        {
            var undersides = Undersides(kept, levels, sums);
            // Posts made longer below have lifted what is above, perhaps into a keep-out.
            if (Topped(instance, kept, levels, undersides, []) is null) return null;
            if (instance.Stock.Allot(Demands(levels, sums, counts)) is { } posts)
                return Topped(instance, kept, levels, undersides, posts[..levels.Count]) is { } found ? found with { HalfPosts = posts[levels.Count..] } : null;

            if (!Lengthen(instance, kept, levels, sums, counts)) return null;
        }
    }

    // A level that has been lifted since it was filled may have come into a keep-out.
    private static bool KeepOutsAreKept(LoadInstance instance, IReadOnlyList<Level> levels, long[] undersides)
    {
        for (var i = 0; instance.HasKeepOuts && i < levels.Count; i++)
        {
            var (level, top) = (levels[i], undersides[i] + levels[i].Deck.Thickness);
            if (!instance.DeckMayLie(level.Deck, undersides[i])) return false;
            if (!level.Halves.All(h => instance.ShelfMayLie(h.Seat, h.Thickness, top + h.Underside))) return false;
            for (var t = 0; t < level.Trays.Count; t++)
            {
                var shelfTop = top + level.OffsetOf(t);
                if (shelfTop != level.Trays[t].Space.ShelfTop && !level.Trays[t].PlacedItems.All(s => instance.MayStand(s, shelfTop))) return false;
            }
        }

        return true;
    }

    private static List<(long Sum, int Posts)> Demands(IReadOnlyList<Level> levels, long[] sums, int[] counts) =>
        [.. sums.Select((s, i) => (s, counts[i])), .. levels[^1].Halves.Select(h => (h.Underside - h.From, h.Axes.Length))];

    // Takes the next longer posts under one level: one where the stock then suffices, else the one where that costs least height.
    private static bool Lengthen(LoadInstance instance, KeptBase? kept, IReadOnlyList<Level> levels, long[] sums, int[] counts)
    {
        var (best, bestCost, bestSum) = (-1, long.MaxValue, 0L);
        for (var i = 0; i < sums.Length; i++)
        {
            var before = sums[i];
            if (LengthUnder(instance, levels[i].Deck, Undersides(kept, levels, sums)[i] - before, before + 1) is not { } longer) continue;
            sums[i] = longer;
            var suffices = instance.Stock.Allot(Demands(levels, sums, counts)) is not null;
            sums[i] = before;
            var cost = longer - before + (suffices ? 0 : LoadLimits.MaxLengthMicrometres);
            if (cost < bestCost) (best, bestCost, bestSum) = (i, cost, longer);
        }

        if (best >= 0) sums[best] = bestSum;
        return best >= 0;
    }

    private static long? LengthUnder(LoadInstance instance, Deck deck, long from, long least)
    {
        var sum = instance.Stock.AtLeast(least);
        while (sum is { } s && !instance.DeckMayLie(deck, from + s)) sum = instance.Stock.AtLeast(s + 1);
        return sum;
    }

    private static long[] Undersides(KeptBase? kept, IReadOnlyList<Level> levels, long[] sums)
    {
        var undersides = new long[levels.Count];
        var at = kept?.ShelfTop ?? 0;
        for (var i = 0; i < levels.Count; i++)
        {
            undersides[i] = at + sums[i];
            at = undersides[i] + levels[i].Deck.Thickness;
        }

        return undersides;
    }

    private static Elevation? Topped(LoadInstance instance, KeptBase? kept, IReadOnlyList<Level> levels, long[] undersides, long[][][] posts)
    {
        var top = kept?.WareTop ?? 0;
        for (var i = 0; i < levels.Count; i++) top = Math.Max(top, undersides[i] + levels[i].Deck.Thickness + levels[i].Tallest);
        return top <= instance.Lid && KeepOutsAreKept(instance, levels, undersides) ? new Elevation(undersides, posts, top) : null;
    }
}
