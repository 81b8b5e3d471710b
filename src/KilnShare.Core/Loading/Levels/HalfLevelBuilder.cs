using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Levels;

/// <summary>
/// Builds the uppermost levels as a whole deck with half shelves over it. Each side has heights of its own, and one side may stay open for tall ware.
/// </summary>
internal sealed class HalfLevelBuilder(InstanceContext context, LevelBuilder builder)
{
    private readonly LoadInstance instance = context.Instance;
    private readonly LoadOptions options = context.Options;
    private readonly SearchBudget budget = context.Budget;
    private readonly SeededRandom random = context.Random;

    private readonly List<(long Sum, int Posts)> demands = [];

    /// <summary>The deck with half levels over it; null when that is not possible with either side open.</summary>
    public Level? Build(PartialPlan plan, Deck whole, Deck split, long shelfTop, Preference preference, double noise, int rounds)
    {
        if (!split.Seats.All(s => AxesOf(plan.Layout, split, s).All(a => instance.StandsBeside(a, s, split)))) return null;
        var open = random.Below(2);
        return Build(plan, whole, split, shelfTop, open, preference, noise, rounds) ?? Build(plan, whole, split, shelfTop, 1 - open, preference, noise, rounds);
    }

    private Level? Build(PartialPlan plan, Deck whole, Deck split, long shelfTop, int open, Preference preference, double noise, int rounds)
    {
        var left = instance.Problem.Furniture.Shelves[split.Kind].Count - LevelBuilder.Used(plan, split.Kind);
        // Ware too tall to stand under anything needs the open side.
        var tall = instance.Lid - shelfTop - split.Thickness - instance.Headroom - plan.Pool.LowestWaiting;
        var sides = plan.Pool.TallestWaiting(instance.Lid - shelfTop) > tall || random.Below(2) == 0 ? new[] { 1 - open } : [1 - open, open];
        var first = new long?[2];
        StartDemands(plan, whole, split);
        foreach (var side in sides) first[side] = Clear(plan.Pool, split, side, shelfTop, preference, noise);
        if (first[1 - open] is null || left < 1) return null;
        var halves = new List<HalfLevel>();
        var trays = new List<Tray> { BaseTray(plan, whole, split, shelfTop, first) };
        Fill(plan.Pool, trays[0], preference, noise, rounds);
        foreach (var side in sides)
        {
            if (first[side] is { } clear) Stack(plan, split, side, shelfTop, clear, ref left, halves, trays, preference, noise, rounds);
        }

        var level = new Level(whole, trays, false) { Halves = halves, MoreAxes = plan.Layout.AxesOf(split) };
        Balancing.Ensure(instance, plan.Layout, level, plan.Pool);
        if (halves.Count > 0 && level.Value > 0 && Elevations.Of(instance, plan, [.. plan.Levels, level]) is not null) return level;
        LevelBuilder.GiveBack(level, plan.Pool);
        return null;
    }

    private void Fill(ItemPool pool, Tray tray, Preference preference, double noise, int rounds)
    {
        builder.Open([tray], pool, tray.Space.Height);
        builder.Filling.Fill([tray], pool, preference, noise, rounds, options.FailuresPerLevel);
    }

    // Height from a shelf to the next half shelf over it; null when no half shelf with ware fits there.
    private long? Clear(ItemPool pool, Deck split, int side, long shelfTop, Preference preference, double noise)
    {
        if (pool.IsEmpty) return null;
        var clearHeight = instance.Lid - shelfTop;
        var lowest = pool.LowestWaiting;
        var height = builder.WorthiestHeight(
            pool, clearHeight - lowest - split.Thickness - instance.Headroom, split, preference == Preference.Height ? 0.1 : noise);
        if (height == 0) return null;
        var clear = instance.FromStock
            ? LengthInStock(height + instance.Headroom, s => instance.ShelfMayLie(split.Seats[side], split.Thickness, shelfTop + s))
            : instance.LowestFor([split.Seats[side]], split.Thickness, shelfTop + height + instance.Headroom) - shelfTop;
        return clear + split.Thickness + lowest <= clearHeight ? clear : null;
    }

    // The posts that the levels so far need. Posts under half shelves need posts under them on every level below.
    private void StartDemands(PartialPlan plan, Deck whole, Deck split)
    {
        demands.Clear();
        if (!instance.FromStock) return;
        var probe = new Level(whole, [new Tray(instance.SpaceOf(whole.Seats[0], [], 0, 0), instance.Distances)], false);
        List<Level> levels = [.. plan.Levels, probe];
        if (Elevations.Of(instance, plan, levels) is not { } elevation) return;
        var counts = Elevations.PostCounts(plan.Layout, [.. plan.Levels, new Level(whole, probe.Trays, false) { MoreAxes = plan.Layout.AxesOf(split) }]);
        for (var i = 0; i < levels.Count; i++)
        {
            var from = i == 0 ? plan.Kept?.ShelfTop ?? 0 : elevation.Undersides[i - 1] + levels[i - 1].Deck.Thickness;
            demands.Add((elevation.Undersides[i] - from, counts[i]));
        }
    }

    // The shortest length, not below the least, for which the stock still has posts; they count as taken.
    private long? LengthInStock(long least, Func<long, bool> mayBe)
    {
        for (var sum = instance.Stock.AtLeast(least); sum is { } length; sum = instance.Stock.AtLeast(length + 1))
        {
            if (!mayBe(length)) continue;
            demands.Add((length, LoadLimits.MinPostsUnderShelf));
            if (instance.Stock.Allot(demands) is not null) return length;
            demands.RemoveAt(demands.Count - 1);
        }

        return null;
    }

    private Tray BaseTray(PartialPlan plan, Deck whole, Deck split, long shelfTop, long?[] first)
    {
        var fixtures = new List<Fixture>();
        for (var side = 0; side < 2; side++)
        {
            if (first[side] is not { } clear) continue;
            var (seat, under) = (split.Seats[side], shelfTop + clear);
            fixtures.Add(ShelfAsFixture(seat, instance.Distances.Gap, under));
            fixtures.Add(ShelfAsFixture(seat, 0, under - instance.Headroom));
            fixtures.AddRange(AxesOf(plan.Layout, split, seat).Select(a => PostAsFixture(a, shelfTop, under)));
        }

        return new Tray(LoadInstance.With(instance.SpaceOf(whole.Seats[0], [], shelfTop, instance.Lid - shelfTop), fixtures), instance.Distances);
    }

    private Fixture ShelfAsFixture(Seat seat, long clearance, long from) =>
        new(instance.Problem.Furniture.Shelves[seat.Kind].Footprint, seat.X, seat.Y, seat.Turn, clearance, from, long.MaxValue);

    private Fixture PostAsFixture(Axis axis, long from, long to) =>
        new(new Pieces.Footprint.Circle(instance.Problem.Furniture.PostDiameter), axis.X, axis.Y, 0, instance.Distances.Gap, from, to);

    private static Axis[] AxesOf(Layout layout, Deck split, Seat seat) =>
        [.. layout.AxesOf(split).Where(a => Exact.PointInside(a.X, a.Y, seat.Shape, 0))];

    private void Stack(
        PartialPlan plan, Deck split, int side, long shelfTop, long clear, ref int left, List<HalfLevel> halves, List<Tray> trays, Preference preference,
            double noise, int rounds)
    {
        var seat = split.Seats[side];
        var axes = AxesOf(plan.Layout, split, seat);
        // Ware may rise past the other side's shelves, at whatever height, and past posts that stick out from under them: it keeps its gap from both.
        var other = split.Seats[1 - side];
        var sticking = AxesOf(plan.Layout, split, other).Where(a => !Exact.Inside(instance.PostAt(a), other.Shape, 0));
        List<Fixture> beside = [ShelfAsFixture(other, instance.Distances.Gap, long.MinValue),
            .. sticking.Select(a => PostAsFixture(a, long.MinValue, long.MaxValue))];
        long from = 0;
        int? on = null;
        for (long? next = clear; next is { } length && left > 0 && !budget.Stop; left--)
        {
            var half = new HalfLevel(seat, axes, from, from + length, split.Thickness, on);
            var top = shelfTop + half.ShelfTop;
            next = left > 1 ? Clear(plan.Pool, split, side, top, preference, noise) : null;
            var clearHeight = next is { } above ? above - instance.Headroom : instance.Lid - top;
            var tray = new Tray(LoadInstance.With(instance.SpaceOf(seat, next is null ? [] : axes, top, clearHeight), beside), instance.Distances);
            Fill(plan.Pool, tray, preference, noise, rounds);
            if (tray.PlacedItems.Count == 0) return;
            (on, from) = (halves.Count, half.ShelfTop);
            halves.Add(half);
            trays.Add(tray);
        }
    }
}
