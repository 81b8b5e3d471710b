using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Levels;

/// <summary>Builds levels from the floor up, or on top of levels that stay.</summary>
internal sealed class LevelBuilder(InstanceContext context)
{
    private readonly LoadInstance instance = context.Instance;
    private readonly LoadOptions options = context.Options;
    private readonly SearchBudget budget = context.Budget;
    private readonly SeededRandom random = context.Random;




    private readonly LevelFilling filling = new(context);

    public LevelFilling Filling => filling;

    /// <summary>Adds levels to the plan until nothing more fits: the tallest that waits opens each level.</summary>
    public void Build(PartialPlan plan, Preference preference, double noise, int rounds, int? splitAt = null)
    {
        var heights = preference == Preference.Height ? new Queue<long>() : PlannedHeights(plan, noise);
        while (!budget.Stop && !plan.Pool.IsEmpty)
        {
            if (plan.Levels.Count >= splitAt && SplitLevel(plan, preference, noise, rounds) is { } split)
            {
                plan.Levels.Add(split);
                return;
            }

            if (NextLevel(plan, preference, noise, rounds, heights) is not { } level) return;
            plan.Levels.Add(level);
            if (!level.CarriesPosts) return;
        }
    }

    // A level that leaves room for another above when there is height for that, else one up to the lid.
    private Level? NextLevel(PartialPlan plan, Preference preference, double noise, int rounds, Queue<long> heights)
    {
        long? planned = heights.Count > 0 ? heights.Dequeue() : null;
        foreach (var deck in plan.Layout.Decks)
        {
            if (InStock(plan, deck) == 0) continue;
            if (ShelfTopOf(plan, deck) is not { } shelfTop) continue;
            var tallest = planned is not null || preference == Preference.Height
                ? plan.Pool.TallestWaiting(planned > LevelHeights.ToLid ? Math.Min(planned.Value, instance.Lid - shelfTop) : instance.Lid - shelfTop)
                : WorthiestHeight(plan.Pool, instance.Lid - shelfTop, deck, noise);
            if (tallest == 0) continue;
            var carries = planned == LevelHeights.ToLid ? null : LeavesRoom(plan, shelfTop, tallest);
            var clearHeight = carries is { } clear ? clear - instance.Headroom : instance.Lid - shelfTop;
            var level = Fill(plan, deck, shelfTop, clearHeight, carries is not null, preference, noise, rounds);
            if (level.Value > 0 && Elevations.Of(instance, plan, [.. plan.Levels, level]) is not null) return level;
            GiveBack(level, plan.Pool);
        }

        return null;
    }

    // The heights of all levels at once. How much of a level ware will cover is guessed, and varied.
    private Queue<long> PlannedHeights(PartialPlan plan, double noise)
    {
        foreach (var deck in plan.Layout.Decks)
        {
            var shelves = InStock(plan, deck);
            if (shelves == 0 || ShelfTopOf(plan, deck) is not { } shelfTop) continue;
            var usable = LevelTuning.PlannedArea + (noise > 0 ? LevelTuning.PlannedAreaSpread * (random.Unit() - 0.5) : 0);
            return new Queue<long>(LevelHeights.Choose(instance, plan.Pool, deck, instance.Lid - shelfTop, shelves, usable, random, noise > 0 && shelves > 1));
        }

        return [];
    }

    // A whole deck with half shelves over it.
    private Level? SplitLevel(PartialPlan plan, Preference preference, double noise, int rounds)
    {
        var whole = plan.Layout.Decks.FirstOrDefault(d => d.Seats.Count == 1 && InStock(plan, d) > 0);
        var split = plan.Layout.Decks.FirstOrDefault(d => d.Seats.Count == 2);
        if (whole is null || split is null || ShelfTopOf(plan, whole) is not { } shelfTop) return null;
        return new HalfLevelBuilder(context, this).Build(plan, whole, split, shelfTop, preference, noise, rounds);
    }

    private Level Fill(PartialPlan plan, Deck deck, long shelfTop, long clearHeight, bool carries, Preference preference, double noise, int rounds)
    {
        var axes = carries ? PostsAbove(plan.Layout) : [];
        var trays = deck.Seats.Select(s => new Tray(instance.SpaceOf(s, axes, shelfTop, clearHeight, deck.Seats), instance.Distances)).ToList();
        var level = new Level(deck, trays, carries);
        Open(level.Trays, plan.Pool, clearHeight);
        if (instance.MostlyRectangles && RectangleSearch.CanSearch(plan.Pool, instance.Distances) && (!carries || HeightsAreEqual(plan.Pool)))
        {
            var byArea = preference == Preference.Height && MayAllFit(plan);
            foreach (var tray in level.Trays) RectangleSearch.Fill(tray, plan.Pool, instance.Distances, context, options.RectangleStarts, byArea);
            if (plan.Pool.All.All(RectangleSearch.IsPlain)) return Balanced(plan, level);
        }

        filling.Fill(level.Trays, plan.Pool, preference, noise, rounds, instance.MostlyRectangles ? 0 : options.FailuresPerLevel);
        return Balanced(plan, level);
    }

    // Where everything may fit, what covers most area comes first, not what is worth most.
    private bool MayAllFit(PartialPlan plan) =>
        plan.Pool.WaitingArea <= plan.Layout.Decks.Sum(d => InStock(plan, d) * d.Seats.Sum(instance.AreaOf));

    private Level Balanced(PartialPlan plan, Level level)
    {
        Balancing.Ensure(instance, plan.Layout, level, plan.Pool);
        return level;
    }

    private static bool HeightsAreEqual(ItemPool pool) => pool.LowestWaiting >= pool.TallestWaiting(LoadLimits.MaxLengthMicrometres);

    // The tallest goes on first: it is why the level is so high.
    public void Open(IReadOnlyList<Tray> trays, ItemPool pool, long clearHeight)
    {
        var tallest = pool.All.Where(w => pool.Waiting[w.Index] > 0 && w.Height <= clearHeight).OrderByDescending(w => w.Height)
            .ThenByDescending(w => w.Shape.Area).ThenBy(w => w.Index).FirstOrDefault();
        if (tallest is not null && filling.TryCheaply(trays, tallest)) pool.Waiting[tallest.Index]--;
    }

    /// <summary>Every place where a post of the layout may come to stand.</summary>
    public static List<Axis> PostsAbove(Layout layout) => [.. layout.Axes.SelectMany(a => a).Distinct()];

    public static void GiveBack(Level level, ItemPool pool)
    {
        foreach (var placedItem in level.Trays.SelectMany(t => t.PlacedItems)) pool.Waiting[placedItem.Item.Index] += placedItem.Count;
    }

    private int InStock(PartialPlan plan, Deck deck)
    {
        var used = Used(plan, deck.Kind);
        return (instance.Problem.Furniture.Shelves[deck.Kind].Count - used) / deck.Seats.Count;
    }

    public static int Used(PartialPlan plan, int kind) =>
        plan.Levels.Where(l => l.Deck.Kind == kind).Sum(l => l.Deck.Seats.Count) + plan.Levels.SelectMany(l => l.Halves)
            .Count(h => h.Seat.Kind == kind) + (plan.Kept?.Seats.Count(s => s.Kind == kind) ?? 0);

    private long? ShelfTopOf(PartialPlan plan, Deck deck)
    {
        var probe = new Level(deck, [new Tray(instance.SpaceOf(deck.Seats[0], [], 0, 0), instance.Distances)], false);
        return Elevations.Of(instance, plan, [.. plan.Levels, probe]) is { } e ? e.Undersides[^1] + deck.Thickness : null;
    }

    // The height for which the best ware on a shelf, judged by area alone, is worth most for the height it takes.
    public long WorthiestHeight(ItemPool pool, long clearHeight, Deck deck, double noise)
    {
        var waiting = pool.All.Where(w => pool.Waiting[w.Index] > 0 && w.Height <= clearHeight).OrderByDescending(w => w.Value / w.Shape.Area).ToList();
        var heights = waiting.Select(w => w.Height).Distinct().Order().ToList();
        var area = deck.Seats.Sum(instance.AreaOf) * LevelTuning.UsableArea;
        var (best, bestWorth) = (0L, 0.0);
        for (var i = heights.Count - 1; i >= 0; i -= Math.Max(1, heights.Count / LevelTuning.HeightsForOneLevel))
        {
            var taken = heights[i] + instance.Headroom + deck.Thickness;
            var worth = WorthOn(pool, waiting, heights[i], area) / taken * (1 + (noise * (random.Unit() - 0.5)));
            if (worth > bestWorth) (best, bestWorth) = (heights[i], worth);
        }

        return best;
    }

    private static double WorthOn(ItemPool pool, List<Item> byDensity, long height, double area)
    {
        double worth = 0;
        foreach (var item in byDensity)
        {
            if (item.Height > height) continue;
            var copies = Math.Min(pool.Waiting[item.Index], area / item.Shape.Area);
            worth += copies * item.Value;
            area -= copies * item.Shape.Area;
            if (area <= 0) break;
        }

        return worth;
    }

    // The clear height for the tallest item; null where no shelf with the lowest ware fits above it.
    private long? LeavesRoom(PartialPlan plan, long shelfTop, long tallest)
    {
        var clear = instance.FromStock ? instance.Stock.AtLeast(tallest + instance.Headroom) : tallest + instance.Headroom;
        if (clear is not { } height) return null;
        var lowest = plan.Pool.LowestWaiting;
        var above = plan.Layout.Decks.Where(d => instance.Problem.Furniture.Shelves[d.Kind].Count - Used(plan, d.Kind) > d.Seats.Count);
        return above.Any(d => shelfTop + height + d.Thickness + lowest <= instance.Lid) ? height : null;
    }
}
