using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Search;
using KilnShare.Core.Loading.Shelves;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>Pieces take each other's places on several levels, and levels rise into height that is left over.</summary>
public class PlaceTakingTests
{
    private readonly LoadOptions options = new();
    private readonly SeededRandom chance = new(1);

    // One disc of 200 mm stands on each shelf of 220 mm. What stands below is worth more than what waits: that may come there only if what it drives
    // out finds another place.
    [Fact]
    public void What_loses_its_place_takes_that_of_something_lighter_on_another_level()
    {
        var instance = InstanceOf(170, [Piece("comes", Circle(200), 90, 1, 2), Piece("moves", Circle(200), 40, 1, 3), Piece("leaves", Circle(200), 40, 1, 1)]);
        var plan = PlanOf(instance, (1, 90), (2, 45));

        var found = Varied(instance, plan);

        Assert.Contains(found, p => p.Value == 5 * Item.ValueUnits && p.Levels[1].Trays[0].PlacedItems[0].Item.Index == 1);
    }

    // 10 + 40 + 10 + 40 = 100 mm are used; under 110 mm the lower level may become 10 mm higher, under 109 mm it may not.
    [Theory]
    [InlineData(110, true)]
    [InlineData(109, false)]
    public void A_level_rises_as_far_as_height_is_left_over_for_what_is_taller(int heightMm, bool rises)
    {
        var instance = InstanceOf(
            heightMm, [Piece("comes", Circle(200), 50, 1, 9), Piece("leaves", Circle(200), 40, 1, 1), Piece("stays", Circle(195), 40, 1, 1)]);
        var plan = PlanOf(instance, (1, 40), (2, 40));

        var found = Varied(instance, plan);

        Assert.Equal(rises, found.Exists(p => p.Levels[0].Tallest == Mm(50).Micrometres));
        Assert.All(found, p => Assert.NotNull(Elevations.Of(instance, p)));
    }

    [Fact]
    public void Nothing_takes_a_place_that_is_too_low_or_too_narrow_for_it()
    {
        var instance = InstanceOf(170, [Piece("tall", Circle(200), 46, 1, 9), Piece("wide", Circle(221), 40, 1, 9), Piece("stands", Circle(200), 40, 1, 1)]);
        var pool = new ItemPool(instance.Problem);

        foreach (var comes in pool.All.Take(2))
        {
            var tray = PlanOf(instance, (2, 45)).Levels[0].Trays[0];
            Assert.False(new LevelFilling(Context(instance)).TryInstead(tray, 0, comes, 3));
        }
    }

    // Two of 50 stacked make 100, a 50 and a 75 make 125.
    [Theory]
    [InlineData(49, null)]
    [InlineData(50, 50)]
    [InlineData(124, 100)]
    [InlineData(125, 125)]
    [InlineData(400, 150)]
    public void The_longest_posts_are_no_longer_than_asked(int mostMm, int? longestMm)
    {
        var supply = new PostSupply(FromStock([50, 75]), []);

        Assert.Equal(longestMm is { } mm ? Mm(mm).Micrometres : null, supply.AtMost(Mm(mostMm).Micrometres));
    }

    // Of 60 heights from 61 to 120 mm, all under posts of 150 mm, a level holds all: none lower is worth planning.
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void From_stock_a_level_is_planned_as_high_as_the_tallest_that_its_posts_allow(int seed)
    {
        List<LoadPiece> pieces = [.. Enumerable.Range(61, 60).Select(h => Piece($"{h}", Circle(60), h))];
        var instance = new LoadInstance(Problem(new Chamber(Circle(220), Mm(800), Length.Zero, Length.Zero), FromStock([150]), Spacing, pieces), options);

        var heights = LevelHeights.Choose(
            instance, new ItemPool(instance.Problem), instance.Decks[0], Mm(600).Micrometres, 4, 0.7, new SeededRandom((ulong)seed), varied: true);

        Assert.True(heights.Count > 1);
        Assert.All(heights.SkipLast(1), h => Assert.Equal(Mm(120).Micrometres, h));
    }

    // Weights differ and there are several levels: the search goes on from many plans by turns, and keeps the best.
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void More_iterations_on_several_levels_of_ware_of_different_weight_never_place_less(int seed)
    {
        var random = new Random(seed);
        List<LoadPiece> pieces = [.. Enumerable.Range(0, 30)
            .Select(i => Piece($"{i}", Circle(60 + random.Next(60)), 30 + random.Next(90), 1, 1 + random.Next(20)))];
        var problem = Problem(new Chamber(Circle(240), Mm(400), Length.Zero, Length.Zero), FromStock([25, 50, 75, 100]), Spacing, pieces);
        decimal before = 0;

        foreach (var iterations in new[] { 1, 100, 700, 1_400, 4_000, 4_001 })
        {
            var plan = Solve(problem, iterations);
            Assert.Empty(LoadChecks.Violations(problem, plan));
            Assert.True(plan.PlacedWeight >= before, $"{iterations} iterations place {plan.PlacedWeight}, fewer {before}");
            before = plan.PlacedWeight;
        }

        Assert.Equal(before, Solve(problem, 4_001).PlacedWeight);
    }

    private static KilnSpacing Spacing => new(Length.Zero, Mm(10), Length.Zero);

    private static Furniture FromStock(int[] mm) =>
        new([new ShelfStock("s", Circle(220), Mm(10), 9)], PostHeights.Stock, [.. mm.Select(h => new PostStock(Mm(h), 30))], Mm(20), Mm(15));

    // Shelves of 220 mm, 10 mm thick, on posts that take no room and may have any height.
    private LoadInstance InstanceOf(int heightMm, IReadOnlyList<LoadPiece> pieces)
    {
        var furniture = new Furniture([new ShelfStock("s", Circle(220), Mm(10), 5)], PostHeights.Any, [], Length.Zero, Length.Zero);
        return new LoadInstance(
            Problem(new Chamber(Circle(220), Mm(heightMm), Length.Zero, Length.Zero), furniture, new KilnSpacing(Length.Zero, Length.Zero, Length.Zero),
                pieces),
            options);
    }

    // One piece in the middle of each level, with room for ware of that height over it.
    private static PartialPlan PlanOf(LoadInstance instance, params (int Piece, int RoomMm)[] levels)
    {
        var pool = new ItemPool(instance.Problem);
        var plan = new PartialPlan(instance.Layouts[0], [], pool);
        var deck = instance.Decks[0];
        foreach (var (piece, room) in levels)
        {
            var tray = new Tray(instance.SpaceOf(deck.Seats[0], [], 0, Mm(room).Micrometres), instance.Distances);
            tray.Add(PlacedItem.At(pool.All[piece], 1, 0, 0, 0));
            pool.Waiting[piece]--;
            plan.Levels.Add(new Level(deck, [tray], levels[^1] != (piece, room)));
        }

        return plan;
    }

    private List<PartialPlan> Varied(LoadInstance instance, PartialPlan plan)
    {
        var context = Context(instance);
        var near = new Neighbourhood(context, new LevelBuilder(context), fromStart: false);
        return [.. Enumerable.Range(0, 200).Select(_ => near.Varied(plan)).OfType<PartialPlan>()];
    }

    private InstanceContext Context(LoadInstance instance) =>
        new(instance, options, new SearchBudget(WorkBudget.OfIterations(100_000, TestContext.Current.CancellationToken)), chance);
}
