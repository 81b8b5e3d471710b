using CsCheck;
using KilnShare.Benchmarks.Loading;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Checks;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>What a plan leaves over is shared out, so that hands can follow it.</summary>
public class SharingOutTests
{
    private static LoadPlan Spread(LoadProblem problem, long iterations = 50, ulong seed = 1) => LoadSearch.Solve(
        problem, new LoadOptions { Seed = seed, Spread = true }, WorkBudget.OfIterations(iterations, TestContext.Current.CancellationToken));

    // By hand: across, 120 - 100 leaves 10 on either side. Along, 400 - 2 x 100 - 6 leaves 194: a quarter of it to each edge, half of it between the two.
    [Fact]
    public void Two_equal_discs_on_a_long_shelf_stand_a_quarter_of_what_is_left_from_either_end()
    {
        var problem = OneShelf(Rectangle(400, 120), [Piece("bowl", Circle(100), 80, quantity: 2)], gapMm: 6);

        var plan = Spread(problem);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        var stand = plan.Shelves[0].Placements.OrderBy(p => p.X).ToList();
        Assert.Equal((-101.5, 101.5), (Mid(stand[0].X), Mid(stand[1].X)));
        Assert.All(stand, p => Assert.Equal(0, Mid(p.Y)));
        Assert.InRange(plan.Shelves[0].HandsMayBeOff!.Value.Mm, 51.2m, 51.5m);
    }

    // By hand: 300 - 2 x 100 - 6 leaves 94 each way.
    [Fact]
    public void Four_equal_discs_on_a_square_shelf_stand_in_a_square()
    {
        var problem = OneShelf(Rectangle(300, 300), [Piece("bowl", Circle(100), 80, quantity: 4)], gapMm: 6);

        var plan = Spread(problem);

        Assert.Equal(
            [(-76.5, -76.5), (-76.5, 76.5), (76.5, -76.5), (76.5, 76.5)],
            plan.Shelves[0].Placements.Select(p => (Mid(p.X), Mid(p.Y))).Order());
    }

    // To half a millimetre.
    private static double Mid(Length length) => Math.Round(length.Micrometres / 500.0) / 2;

    // By hand: one alone stands in the middle; 250 - 100 leaves 75 on either side of it.
    [Fact]
    public void A_piece_alone_stands_in_the_middle_and_nothing_is_said_of_hands()
    {
        var plan = Spread(OneShelf(Circle(250), [Piece("bowl", Circle(100), 80)], gapMm: 6));

        var shelf = Assert.Single(plan.Shelves);
        Assert.Equal((0, 0), (Mid(shelf.Placements[0].X), Mid(shelf.Placements[0].Y)));
        Assert.Null(shelf.HandsMayBeOff);
    }

    // By hand: what is 7.9 mm apart may be off by 3.95 mm each, rounded down to a tenth.
    [Fact]
    public void The_figure_for_hands_is_half_of_the_least_distance_rounded_down_and_leaves_out_what_may_touch()
    {
        List<LoadPiece> pieces = [Piece("a", Circle(100), 80), Piece("b", Circle(100), 80), Piece("dry", Circle(60), 50, quantity: 2, touch: true)];
        Placement At(string id, int copy, decimal x, decimal y) => new(id, [copy], Mm(x), Mm(y), 0, false);
        var problem = OneShelf(Rectangle(600, 600), pieces, gapMm: 6);
        var plan = Solve(problem);
        var shelf = plan.Shelves[0];
        List<Placement> placements = [At("a", 0, 0, 0), At("b", 0, 107.9m, 0), At("dry", 0, -200, 200), At("dry", 1, -140, 200)];
        plan = SharingOut.WithHandRoom(plan with { Shelves = [shelf with { Placements = placements }] }, pieces);

        Assert.Equal(3.9m, plan.Shelves[0].HandsMayBeOff?.Mm);
        Assert.DoesNotContain(LoadChecks.Violations(problem, plan), v => v.StartsWith("Hands", StringComparison.Ordinal));
        foreach (var off in new[] { 4.0m, 3.8m })
        {
            var wrong = plan with { Shelves = [plan.Shelves[0] with { HandsMayBeOff = Mm(off) }] };
            Assert.Contains(LoadChecks.Violations(problem, wrong), v => v.StartsWith("Hands", StringComparison.Ordinal));
        }

        var silent = plan with { Shelves = [plan.Shelves[0] with { HandsMayBeOff = null }] };
        Assert.Contains(LoadChecks.Violations(problem, silent), v => v.StartsWith("Hands", StringComparison.Ordinal));
    }

    [Fact]
    public void Whatever_the_ware_nothing_is_lost_by_sharing_out() => Gen.Int[0, 1_000_000].Sample(
        seed =>
        {
            var problem = AnyKiln(seed);
            var tight = LoadSearch.Solve(problem, new LoadOptions { Seed = (ulong)seed }, WorkBudget.OfIterations(1 + (seed % 4), CancellationToken.None));
            LoadPlan Shared() => LoadSearch.Solve(
                problem, new LoadOptions { Seed = (ulong)seed, Spread = true }, WorkBudget.OfIterations(1 + (seed % 4), CancellationToken.None));
            var wide = Shared();

            Assert.Empty(LoadChecks.Violations(problem, wide));
            Assert.Equal(WithoutPlaces(tight), WithoutPlaces(wide));
            Assert.Equal(PlanText.Of(wide), PlanText.Of(Shared()));
            for (var s = 0; s < tight.Shelves.Count; s++)
            {
                var (before, after) = (LeastBetween(problem, tight.Shelves[s]), LeastBetween(problem, wide.Shelves[s]));
                // Farther than that is of no use to hands, and the edge may have some of it. Outlines are rounded to 1 um here and there.
                Assert.True(after >= Math.Min(before, 40_000) - 2, $"{before} became {after} on shelf {s}");
                Assert.True(wide.Shelves[s].HandsMayBeOff is not { } off || off.Micrometres >= problem.Spacing.Gap.Micrometres / 200 * 100);
            }
        },
        iter: 16);

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void What_stands_where_it_stood_in_the_start_plan_stays_there(int seed)
    {
        var first = MixedWare(9, seed);
        var start = Solve(RoundKiln(first), 20);
        List<LoadPiece> more = [.. first, Piece("new", Circle(70), 60, quantity: 2)];
        foreach (var keep in new[] { Keep.All, Keep.None })
        {
            var problem = Problem(RoundChamber, RoundFurniture, UsualSpacing, more, null, start, keep);
            var stood = PlacesIn(start);
            stood.IntersectWith(PlacesIn(Solve(problem, 20)));

            var plan = Spread(problem, 20);

            Assert.Empty(LoadChecks.Violations(problem, plan));
            Assert.NotEmpty(stood);
            Assert.Subset(PlacesIn(plan), stood);
        }
    }

    [Fact]
    public void Bare_dry_ware_that_touches_stays_as_it_is()
    {
        var problem = OneShelf(Rectangle(400, 200), [Piece("dry", Circle(80), 80, quantity: 6, touch: true)], gapMm: 6);
        var tight = Solve(problem);

        Assert.Equal(PlanText.Of(tight), PlanText.Of(Spread(problem)));
    }

    // Six tiles of 50 in two rows: by hand they fill 3 x 50 + 2 x 6 of 200 and 2 x 50 + 6 of 130, so that all can stand straight, in rows and columns.
    [Fact]
    public void Tiles_stand_straight_and_in_rows()
    {
        var problem = OneShelf(Rectangle(200, 130), [Piece("tile", Rectangle(50, 50), 10, quantity: 6)], gapMm: 6);
        var askew = Solve(problem);
        List<Placement> placements = [.. Enumerable.Range(0, 6)
            .Select(i => new Placement("tile", [i], Mm(-60 + (60 * (i % 3))), Mm(i < 3 ? -31 : 31), 1_500 + (100 * i), false))];
        askew = SharingOut.WithHandRoom(askew with { Shelves = [askew.Shelves[0] with { Placements = placements }] }, problem.Pieces);
        Assert.Empty(LoadChecks.Violations(problem, askew));

        var plan = SharingOut.Of(problem, askew, new LoadOptions(), WorkBudget.OfIterations(1_000, TestContext.Current.CancellationToken));

        Assert.Empty(LoadChecks.Violations(problem, plan));
        var tiles = plan.Shelves[0].Placements;
        Assert.All(tiles, t => Assert.Equal(0, t.RotationThousandths % 45_000));
        Assert.Equal((3, 2), (tiles.Select(t => t.X).Distinct().Count(), tiles.Select(t => t.Y).Distinct().Count()));
    }

    private static HashSet<(string Id, Length X, Length Y, int Turn)> PlacesIn(LoadPlan plan) =>
        [.. plan.Shelves.SelectMany(s => s.Placements.Select(p => (p.PieceId, p.X, p.Y, p.RotationThousandths)))];

    private static LoadProblem AnyKiln(int seed) => (seed % 3) switch
    {
        0 => RandomKilns.Any(seed),
        1 => RandomKilns.WithHalves(seed),
        _ => RoundKiln(MixedWare(3 + (seed % 7), seed)),
    };

    // All of a plan but where on its shelf each piece stands.
    private static string WithoutPlaces(LoadPlan plan) => PlanText.Of(plan with
    {
        Shelves = [.. plan.Shelves.Select(s => s with
        {
            Placements = [.. s.Placements.Select(p => p with { X = Length.Zero, Y = Length.Zero, RotationThousandths = 0 })],
        })],
    });

    // By the geometry of the checks, um.
    private static double LeastBetween(LoadProblem problem, PlacedShelf shelf)
    {
        var ware = shelf.Placements.Select(p => (Piece: problem.Pieces.Single(q => q.Id == p.PieceId), Place: p)).Select(w => (
            w.Piece.Touch, Shape: CheckShape.Of(w.Piece.Footprint, w.Place.X.Micrometres, w.Place.Y.Micrometres, w.Place.RotationThousandths))).ToList();
        return ware.SelectMany((a, i) => ware.Skip(i + 1).Where(b => !a.Touch || !b.Touch).Select(b => CheckShape.Distance(a.Shape, b.Shape)))
            .DefaultIfEmpty(double.MaxValue).Min();
    }
}
