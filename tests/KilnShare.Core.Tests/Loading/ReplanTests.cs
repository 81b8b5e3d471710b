using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>A full search from a plan of which nothing must stay moves no more than it gains by.</summary>
public class ReplanTests
{
    private static LoadProblem From(LoadPlan start, IReadOnlyList<LoadPiece> pieces) =>
        Problem(RoundChamber, RoundFurniture, UsualSpacing, pieces, null, start);

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Where_nothing_more_can_be_placed_nothing_moves(int seed)
    {
        List<LoadPiece> pieces = [.. Ware(seed, 20)];
        var start = Solve(RoundKiln(pieces), 60);
        Assert.Empty(start.Unplaced);
        List<LoadPiece> more = [.. pieces, Piece("too wide", Circle(560), 50)];

        Assert.Equal(PlacesOf(start), PlacesOf(Solve(From(start, pieces), 60, 7)));
        Assert.Equal(PlacesOf(start), PlacesOf(Solve(From(start, more), 60, 7)));
    }

    // Measured when this was written: 39 of 176 copies moved; searched from nothing, 175 did.
    [Fact]
    public void Most_of_a_plan_stays_where_it_is_when_more_has_to_go_in()
    {
        var (all, moved) = (0, 0);
        for (var seed = 1; seed <= 8; seed++)
        {
            List<LoadPiece> pieces = [.. Ware(seed, 22)];
            var start = Solve(RoundKiln(pieces), 60);
            var problem = From(start, [.. pieces, Piece("new 1", Circle(130), 90), Piece("new 2", Circle(110), 150)]);

            var plan = Solve(problem, 200);

            Assert.Empty(LoadChecks.Violations(problem, plan));
            Assert.True(plan.PlacedWeight >= start.PlacedWeight);
            var (before, after) = (PlacesOf(start), PlacesOf(plan).ToHashSet());
            all += before.Count;
            moved += before.Count(p => !after.Contains(p));
        }

        Assert.True(moved < all / 2, $"{moved} of {all}");
    }

    /// <summary>One seed, and three where KILNSHARE_SOAK=1: a seed takes eleven searches of a whole kiln.</summary>
    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, Environment.GetEnvironmentVariable("KILNSHARE_SOAK") == "1" ? 3 : 1)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void More_iterations_from_a_start_plan_never_place_less(int seed)
    {
        var pieces = MixedWare(25, seed);
        var start = Solve(RoundKiln(pieces), 300);
        var problem = From(start, [.. pieces, Piece("new", Circle(130), 90, quantity: 2)]);
        var before = start.PlacedWeight;
        foreach (var iterations in new[] { 1, 2, 3, 10, 11, 30, 31, 60, 120, 121, 240 })
        {
            var weight = Solve(problem, iterations).PlacedWeight;
            Assert.True(weight >= before, $"{iterations} iterations place {weight}, fewer {before}");
            before = weight;
        }
    }

    [Fact]
    public void Copies_that_stay_keep_their_numbers_when_an_earlier_one_is_withdrawn()
    {
        List<LoadPiece> pieces = [Piece("a", Circle(120), 100, quantity: 9), Piece("b", Circle(90), 80, quantity: 9)];
        var start = Solve(RoundKiln(pieces), 20);
        var without = start with
        {
            Shelves = [.. start.Shelves.Select(s => s with { Placements = [.. s.Placements.Where(p => !(p.PieceId is "a" && p.Copies[0] == 0))] })],
        };

        var plan = Solve(From(without, pieces), 20, 7);

        var after = PlacesOf(plan).ToHashSet();
        Assert.All(PlacesOf(without), p => Assert.Contains(p, after));
    }

    private static IEnumerable<LoadPiece> Ware(int seed, int kinds)
    {
        var random = new Random(seed);
        return Enumerable.Range(0, kinds).Select(i => Piece($"{i}", Circle(80 + random.Next(80)), 60 + random.Next(100), massG: 400));
    }

    private static List<(string Piece, int Copy, int Level, long X, long Y, int Turn)> PlacesOf(LoadPlan plan)
    {
        var levels = plan.Shelves.Select(s => s.Top).Distinct().Order().ToList();
        return [.. plan.Shelves.SelectMany(
            s => s.Placements.SelectMany(
            p => p.Copies.Select(c => (p.PieceId, c, levels.IndexOf(s.Top), p.X.Micrometres, p.Y.Micrometres, p.RotationThousandths))))
            .OrderBy(p => p.PieceId, StringComparer.Ordinal).ThenBy(p => p.c)];
    }
}
