using KilnShare.Benchmarks.Loading;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Series;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class LoadSeriesTests
{
    [Fact]
    public void Every_copy_is_in_one_load_or_named_and_every_load_passes_the_checks()
    {
        for (var seed = 0; seed < 8; seed++)
        {
            var any = RandomKilns.Any(seed, kinds: 4);
            var problem = With(any, [.. any.Pieces.Select(p => p with { Quantity = 2 * p.Quantity })]);

            var series = Series(problem, 120);

            Assert.Empty(LoadSeriesChecks.Violations(problem, series));
        }
    }

    [Fact]
    public void Very_much_ware_is_all_placed()
    {
        var problem = OneShelf(Circle(520), [.. Enumerable.Range(0, 300).Select(i => Piece($"{i}", Circle(80 + (i * 0.1m)), 100))], 6);

        var series = Series(problem, 1);

        Assert.Empty(series.Unplaced);
        Assert.Empty(LoadSeriesChecks.Violations(problem, series));
        Assert.InRange(series.Loads.Count, series.LeastLoads, 25);
    }

    [Fact]
    public void The_checks_see_what_is_wrong_with_a_series()
    {
        var problem = OneShelf(Rectangle(400, 300), [Piece("tray", Rectangle(390, 290), 100, 2), Piece("spare", Rectangle(390, 290), 100)]);
        var series = Series(problem, 50);
        Assert.Empty(LoadSeriesChecks.Violations(problem, series));
        var (first, last) = (series.Loads[0], series.Loads[^1]);
        LoadPlan With(LoadPlan load, Func<Placement, Placement> change) =>
            load with { Shelves = [.. load.Shelves.Select(s => s with { Placements = [.. s.Placements.Select(change)] })] };

        Assert.Contains("once more", Broken([.. series.Loads, first]), StringComparison.Ordinal);
        Assert.Contains("in no load", Broken([.. series.Loads.Skip(1)]), StringComparison.Ordinal);
        Assert.Contains("Load 2: ", Broken([.. series.Loads.SkipLast(1), With(last, p => p with { X = p.X + Mm(40) })]), StringComparison.Ordinal);
        Assert.Contains("no copy 7", Broken([.. series.Loads, With(first, p => p with { Copies = [7] })]), StringComparison.Ordinal);
        Assert.Contains("ask for 4", Assert.Single(LoadSeriesChecks.Violations(problem, series with { LeastLoads = 4 })), StringComparison.Ordinal);
        Assert.Contains(
            "and is not",
            string.Join(
            ' ', LoadSeriesChecks.Violations(problem, series with { Unplaced = [new UnplacedCopies("spare", [0], UnplacedReason.NoPlaceFound)] })),
            StringComparison.Ordinal);

        string Broken(IReadOnlyList<LoadPlan> loads) => string.Join(' ', LoadSeriesChecks.Violations(problem, series with { Loads = loads }));
    }

    // 19 equal discs fit a round shelf 1 + sqrt 2 + sqrt 6 times as wide as one of them, and no more (proven: F. Fodor, Geometriae Dedicata 74, 1999).
    [Theory]
    [InlineData(38, 2)]
    [InlineData(39, 3)]
    public void Discs_go_into_as_many_loads_as_the_best_packing_asks(int discs, int loads)
    {
        var across = decimal.Round((decimal)(100 * (1 + Math.Sqrt(2) + Math.Sqrt(6))) + 0.5m, 3);

        var series = Series(OneShelf(Circle(across), [Piece("disc", Circle(100), 190, discs)]), 3_000);

        Assert.Equal(loads, series.Loads.Count);
        Assert.Equal(loads == 2 ? StopReason.Proven : StopReason.SearchEnded, series.Stopped);
    }

    [Fact]
    public void Ware_that_fills_a_load_each_needs_as_many_and_that_is_proven()
    {
        var series = Series(OneShelf(Rectangle(400, 300), [Piece("tray", Rectangle(400, 300), 190, 5), Piece("tile", Rectangle(199.9m, 299.9m), 190, 4)]), 500);

        Assert.Equal((7, 7, StopReason.Proven), (series.Loads.Count, series.LeastLoads, series.Stopped));
    }

    // Two circles side by side ask for a round shelf as wide as both together: each of the plates has a shelf for itself.
    [Fact]
    public void Plates_of_which_no_two_lie_on_one_shelf_need_a_shelf_each_and_that_is_proven()
    {
        LoadPiece[] ware = [Piece("plate", Circle(270), 30, 3), Piece("dish", Circle(261), 60, 2), Piece("mug", Circle(90), 90, 20)];

        var one = Series(OneShelf(Circle(520), ware, 6), 50);
        Assert.Equal((5, 5, StopReason.Proven), (one.Loads.Count, one.LeastLoads, one.Stopped));

        LoadSeriesPlan In(int shelves, params LoadPiece[] pieces) =>
            Series(Problem(
                new Chamber(Circle(520), Mm(200), Length.Zero, Length.Zero), Shelves(shelves), new KilnSpacing(Mm(6), Length.Zero, Length.Zero), pieces), 50);
        Assert.Equal(3, In(2, ware).LeastLoads);
        // Five shelves of 10 mm with plates of 30 mm are 200 mm high.
        Assert.Equal([1, 2], new[] { 5, 6 }.Select(plates => In(9, Piece("plate", Circle(270), 30, plates)).LeastLoads));
        Assert.Equal(1, In(1, Piece("saucer", Circle(250), 30, 2)).LeastLoads);
    }

    [Fact]
    public void The_least_filled_load_is_taken_apart_where_the_others_can_hold_its_ware()
    {
        var random = new Random(0);
        var problem = OneShelf(
            Circle(520),
            [.. Enumerable.Range(0, 80).Select(i =>
                i % 8 == 0 ? Piece($"plate{i}", Circle(220 + random.Next(70)), 30) : Piece($"mug{i}", Circle(70 + random.Next(60)), 100))],
            6);

        var filled = Series(problem, 1_300);
        var best = Series(problem, 3_000);

        Assert.True(best.Loads.Count < filled.Loads.Count, $"{filled.Loads.Count} filled one after the other, {best.Loads.Count} in the end");
        Assert.Empty(best.Unplaced);
    }

    [Fact]
    public void The_same_seed_and_iterations_give_the_same_loads_and_more_iterations_never_more_of_them()
    {
        var problem = OneShelf(Circle(400), MixedWare(10, 5), 6);
        var counts = new List<int>();
        foreach (var iterations in new long[] { 1, 700, 1_400 })
        {
            var series = Series(problem, iterations);
            Assert.Equal(Told(series), Told(Series(problem, iterations)));
            counts.Add(series.Loads.Count);
        }

        Assert.Equal(counts.OrderDescending(), counts);
    }

    [Fact]
    public void What_no_load_can_hold_is_named_with_the_reason_and_the_rest_is_planned()
    {
        var series = Series(RoundKiln([Piece("mug", Circle(90), 110, 3), Piece("chimney", Circle(90), 800), Piece("table", Circle(560), 40, 2)]), 50);

        Assert.Equal(
            [("chimney", 1, UnplacedReason.TooTall), ("table", 2, UnplacedReason.TooWide)], series.Unplaced.Select(u => (u.PieceId, u.Copies.Count, u.Reason)));
        Assert.Equal(StopReason.Proven, series.Stopped);
        Assert.Equal(3, Assert.Single(series.Loads).Shelves.SelectMany(s => s.Placements).Sum(p => p.Copies.Count));
    }

    [Fact]
    public void The_load_with_the_most_weight_of_priority_comes_first()
    {
        var series = Series(OneShelf(Rectangle(400, 300), [Piece("late", Rectangle(400, 300), 100), Piece("soon", Rectangle(400, 300), 100, priority: 5)]), 50);

        Assert.Equal(["soon", "late"], series.Loads.Select(l => l.Shelves[0].Placements[0].PieceId));
        Assert.Equal([5m, 1m], series.Loads.Select(l => l.PlacedWeight));
    }

    [Fact]
    public void The_time_is_kept_and_what_was_not_reached_is_named()
    {
        var problem = RoundKiln([.. MixedWare(300, 1), .. MixedWare(300, 2).Select(p => p with { Id = "b" + p.Id })]);
        var clock = new CpuClock();
        var start = clock.GetTimestamp();

        var series = LoadSeries.Solve(
            problem, new LoadOptions(), WorkBudget.OfTime(TimeSpan.FromMilliseconds(100), clock, TestContext.Current.CancellationToken));

        // Processor time: on a busy machine the search stands still while the clock on the wall runs; the benchmarks measure how late it stops.
        Assert.InRange(clock.GetElapsedTime(start), TimeSpan.Zero, TimeSpan.FromMilliseconds(3_100));
        Assert.Equal(
            problem.Pieces.Sum(p => p.Quantity), series.Loads.SelectMany(l => l.Shelves).SelectMany(s => s.Placements)
            .Sum(p => p.Copies.Count) + series.Unplaced.Sum(u => u.Copies.Count));
    }

    [Fact]
    public void A_cancelled_search_says_so()
    {
        using var cancel = new CancellationTokenSource();
        cancel.Cancel();

        Assert.Equal(
            StopReason.Cancelled, LoadSeries.Solve(RoundKiln(MixedWare(20, 1)), new LoadOptions(), WorkBudget.OfIterations(1_000, cancel.Token)).Stopped);
    }

    private static Furniture Shelves(int count) => new([new ShelfStock("s", Circle(520), Mm(10), count)], PostHeights.Any, [], Length.Zero, Length.Zero);

    private static LoadSeriesPlan Series(LoadProblem problem, long iterations) =>
        LoadSeries.Solve(problem, new LoadOptions(), WorkBudget.OfIterations(iterations, TestContext.Current.CancellationToken));

    private static LoadProblem With(LoadProblem problem, IReadOnlyList<LoadPiece> pieces) =>
        LoadProblem.Create(problem.Chamber, problem.Furniture, problem.Spacing, pieces, problem.KeepOuts, heatZones: problem.HeatZones).Value;

    private static List<string> Told(LoadSeriesPlan series) =>
        [.. series.Loads.SelectMany((l, i) => l.Shelves.SelectMany(s => s.Placements.Select(p =>
            $"{i} {s.Top} {p.PieceId} {string.Join(',', p.Copies)} {p.X} {p.Y} {p.RotationThousandths}")))];
}
