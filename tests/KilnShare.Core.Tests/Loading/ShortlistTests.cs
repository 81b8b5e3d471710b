using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Search;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>Several searches, each without more of the lightest kinds.</summary>
public class ShortlistTests
{
    private static IReadOnlyList<LoadProblem> Shelves { get; } = [.. Enumerable.Range(0, 24)
        .Select(seed => OneShelf(Circle(320 + (10 * seed)), MixedWare(9, seed), 5))];

    private static LoadProblem WithOneMore(LoadProblem problem, int seed) =>
        Problem(problem.Chamber, problem.Furniture, problem.Spacing,
            [.. problem.Pieces, Piece("one more", Circle(50 + (13 * (seed % 7))), 40 + (7 * (seed % 11)))]);

    private static decimal Weight(LoadProblem problem, int searches, long iterations = 1) => LoadSearch
        .Solve(problem, new LoadOptions { MostSearches = searches }, WorkBudget.OfIterations(iterations, TestContext.Current.CancellationToken)).PlacedWeight;

    // A single search holds less on some of the shelves.
    [Theory]
    [InlineData(1)]
    [InlineData(60)]
    public void A_plan_holds_no_less_for_one_light_piece_more(long iterations) =>
        Assert.All(
            Shelves, (problem, seed) =>
            Assert.True(Weight(WithOneMore(problem, seed), 8, iterations) >= Weight(problem, 8, iterations), $"less on shelf {seed}"));

    [Fact]
    public void Several_searches_place_more_than_one_does() =>
        Assert.True(Shelves.Sum(p => Weight(p, 8, 60)) > Shelves.Sum(p => Weight(p, 1, 60)));

    [Fact]
    public void There_is_one_search_where_all_weigh_the_same_or_very_much_waits()
    {
        static int Searches(params LoadPiece[] pieces)
        {
            var problem = OneShelf(Circle(500), pieces);
            return Portfolio.CountFor(new LoadInstance(problem, new LoadOptions()), new LoadOptions());
        }

        Assert.Equal(8, Searches(Piece("a", Circle(90), 50, 10, 2), Piece("b", Circle(60), 50, 10, 1)));
        Assert.Equal(5, Searches(Piece("a", Circle(90), 50, 40, 2), Piece("b", Circle(60), 50, 30, 1)));
        Assert.Equal(0, Searches(Piece("a", Circle(90), 50, 80, 2), Piece("b", Circle(60), 50, 30, 1)));
        Assert.Equal(0, Searches(Piece("a", Circle(90), 50, 10, 2), Piece("b", Circle(60), 50, 10, 2)));
        Assert.Equal(0, Searches(Piece("a", Rectangle(90, 50), 50, 10, 2), Piece("b", Rectangle(60, 40), 50, 10, 1)));
    }
}
