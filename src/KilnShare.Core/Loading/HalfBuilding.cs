namespace KilnShare.Core.Loading;

/// <summary>
/// Builds the uppermost levels as a whole deck with half shelves over it, each side at heights of its own; one side may stay open for tall ware.
/// </summary>
internal sealed class HalfBuilding(Setting setting, LoadOptions options, Meter meter, Dice dice, Building building)
{
    private readonly List<(long Sum, int Posts)> demands = [];

    /// <summary>The deck with half levels over it; null when that does not go, whichever side may stay open.</summary>
    public Level? Build(Pile pile, Deck whole, Deck split, long floor, Preference preference, double noise, int rounds)
    {
        if (!split.Seats.All(s => AxesOf(pile.Design, split, s).All(a => setting.StandsBeside(a, s, split)))) return null;
        var open = dice.Below(2);
        return Build(pile, whole, split, floor, open, preference, noise, rounds) ?? Build(pile, whole, split, floor, 1 - open, preference, noise, rounds);
    }

    private Level? Build(Pile pile, Deck whole, Deck split, long floor, int open, Preference preference, double noise, int rounds)
    {
        var left = setting.Problem.Furniture.Shelves[split.Kind].Count - Building.Used(pile, split.Kind);
        // Ware too tall to stand under anything needs the open side.
        var tall = setting.Lid - floor - split.Thickness - setting.Headroom - pile.Pool.LowestWaiting;
        var sides = pile.Pool.TallestWaiting(setting.Lid - floor) > tall || dice.Below(2) == 0 ? new[] { 1 - open } : [1 - open, open];
        var first = new long?[2];
        StartDemands(pile, whole, split);
        foreach (var side in sides) first[side] = Clear(pile.Pool, split, side, floor, preference, noise);
        if (first[1 - open] is null || left < 1) return null;
        var halves = new List<HalfLevel>();
        var trays = new List<Tray> { BaseTray(pile, whole, split, floor, first) };
        Fill(pile.Pool, trays[0], preference, noise, rounds);
        foreach (var side in sides)
        {
            if (first[side] is { } clear) Stack(pile, split, side, floor, clear, ref left, halves, trays, preference, noise, rounds);
        }

        var level = new Level(whole, trays, false) { Halves = halves, MoreAxes = pile.Design.AxesOf(split) };
        Balancing.Ensure(setting, pile.Design, level, pile.Pool);
        if (halves.Count > 0 && level.Weight > 0 && Elevations.Of(setting, pile, [.. pile.Levels, level]) is not null) return level;
        Building.GiveBack(level, pile.Pool);
        return null;
    }

    private void Fill(LotPool pool, Tray tray, Preference preference, double noise, int rounds)
    {
        building.Open([tray], pool, tray.Room.Room);
        building.Filling.Fill([tray], pool, preference, noise, rounds, options.FailuresPerLevel);
    }

    // Height from a shelf to the next half shelf over it; null when no half shelf with ware goes there.
    private long? Clear(LotPool pool, Deck split, int side, long floor, Preference preference, double noise)
    {
        if (pool.IsEmpty) return null;
        var room = setting.Lid - floor;
        var lowest = pool.LowestWaiting;
        var height = building.WorthiestHeight(pool, room - lowest - split.Thickness - setting.Headroom, split, preference == Preference.Height ? 0.1 : noise);
        if (height == 0) return null;
        var clear = setting.FromStock
            ? LengthInStock(height + setting.Headroom, s => setting.ShelfMayLie(split.Seats[side], split.Thickness, floor + s))
            : setting.LowestFor([split.Seats[side]], split.Thickness, floor + height + setting.Headroom) - floor;
        return clear + split.Thickness + lowest <= room ? clear : null;
    }

    // The posts that the levels so far take; those under all of this deck's half shelves run down through every level.
    private void StartDemands(Pile pile, Deck whole, Deck split)
    {
        demands.Clear();
        if (!setting.FromStock) return;
        var probe = new Level(whole, [new Tray(setting.RoomOf(whole.Seats[0], [], 0, 0), setting.Distances)], false);
        List<Level> levels = [.. pile.Levels, probe];
        if (Elevations.Of(setting, pile, levels) is not { } elevation) return;
        var counts = Elevations.PostCounts(pile.Design, [.. pile.Levels, new Level(whole, probe.Trays, false) { MoreAxes = pile.Design.AxesOf(split) }]);
        for (var i = 0; i < levels.Count; i++)
        {
            var from = i == 0 ? pile.Kept?.Top ?? 0 : elevation.Undersides[i - 1] + levels[i - 1].Deck.Thickness;
            demands.Add((elevation.Undersides[i] - from, counts[i]));
        }
    }

    // The shortest posts of at least that length which the stock still has; they are counted as taken.
    private long? LengthInStock(long least, Func<long, bool> mayBe)
    {
        for (var sum = setting.Stock.AtLeast(least); sum is { } length; sum = setting.Stock.AtLeast(length + 1))
        {
            if (!mayBe(length)) continue;
            demands.Add((length, LoadLimits.MinPostsUnderShelf));
            if (setting.Stock.Allot(demands) is not null) return length;
            demands.RemoveAt(demands.Count - 1);
        }

        return null;
    }

    private Tray BaseTray(Pile pile, Deck whole, Deck split, long floor, long?[] first)
    {
        var things = new List<Thing>();
        for (var side = 0; side < 2; side++)
        {
            if (first[side] is not { } clear) continue;
            var (seat, under) = (split.Seats[side], floor + clear);
            things.Add(AsThing(seat, setting.Distances.Gap, under));
            things.Add(AsThing(seat, 0, under - setting.Headroom));
            things.AddRange(AxesOf(pile.Design, split, seat).Select(a => PostAsThing(a, floor, under)));
        }

        return new Tray(Setting.With(setting.RoomOf(whole.Seats[0], [], floor, setting.Lid - floor), things), setting.Distances);
    }

    private Thing AsThing(Seat seat, long clearance, long from) =>
        new(setting.Problem.Furniture.Shelves[seat.Kind].Footprint, seat.X, seat.Y, seat.Turn, clearance, from, long.MaxValue);

    private Thing PostAsThing(Axis axis, long from, long to) =>
        new(new Pieces.Footprint.Circle(setting.Problem.Furniture.PostDiameter), axis.X, axis.Y, 0, setting.Distances.Gap, from, to);

    private static Axis[] AxesOf(Design design, Deck split, Seat seat) =>
        [.. design.AxesOf(split).Where(a => Exact.PointInside(a.X, a.Y, seat.Shape, 0))];

    private void Stack(
        Pile pile, Deck split, int side, long floor, long clear, ref int left, List<HalfLevel> halves, List<Tray> trays, Preference preference, double noise, int rounds)
    {
        var seat = split.Seats[side];
        var axes = AxesOf(pile.Design, split, seat);
        // Ware may rise past shelves of the other side, whatever their heights, and past posts that stick out from under them.
        var other = split.Seats[1 - side];
        var sticking = AxesOf(pile.Design, split, other).Where(a => !Exact.Inside(setting.PostAt(a), other.Shape, 0));
        List<Thing> beside = [AsThing(other, setting.Distances.Gap, long.MinValue), .. sticking.Select(a => PostAsThing(a, long.MinValue, long.MaxValue))];
        long from = 0;
        int? on = null;
        for (long? next = clear; next is { } length && left > 0 && !meter.Stop; left--)
        {
            var half = new HalfLevel(seat, axes, from, from + length, split.Thickness, on);
            var top = floor + half.Top;
            next = left > 1 ? Clear(pile.Pool, split, side, top, preference, noise) : null;
            var room = next is { } above ? above - setting.Headroom : setting.Lid - top;
            var tray = new Tray(Setting.With(setting.RoomOf(seat, next is null ? [] : axes, top, room), beside), setting.Distances);
            Fill(pile.Pool, tray, preference, noise, rounds);
            if (tray.Standings.Count == 0) return;
            (on, from) = (halves.Count, half.Top);
            halves.Add(half);
            trays.Add(tray);
        }
    }
}
