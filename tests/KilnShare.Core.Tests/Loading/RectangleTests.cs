using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class RectangleTests
{
    // Instance rect1 of López and Beasley 2018 (European Journal of Operational Research), sides in units.
    private static readonly (decimal W, decimal D)[] Sides =
        [(1.1m, 1.61m), (2.2m, 1.08m), (1.68m, 1.46m), (1.82m, 2.61m), (2.7m, 2.57m), (3.21m, 2.21m), (2.99m, 3.51m), (3.68m, 3.42m), (4.62m, 3.36m),
            (3.79m, 4.79m)];

    // Best known values: Bouzid and Salhi 2020 and Wang et al. 2024; area to 0.1 % (5 µm are kept between pieces), numbers exactly.
    [Theory]
    [InlineData(2.95, false, true, 18.4441)]
    [InlineData(2.95, false, false, 5)]
    [InlineData(3.62, true, false, 6)]
    [InlineData(4.18, true, false, 7)]
    public void Ten_rectangles_fill_a_round_shelf_as_well_as_published(double radius, bool mayTurn, bool byArea, double best)
    {
        List<LoadPiece> pieces = [.. Sides.Select((s, i) => Piece(
            $"{i}", Rectangle((s.W * 100) - 0.02m, (s.D * 100) - 0.02m), 50, 1, byArea ? decimal.Round(s.W * s.D, 4) : 1, mayTurn))];
        var shelf = OneShelf(Circle((decimal)radius * 200), pieces);

        var plan = Solve(shelf, 1500);

        Assert.Empty(LoadChecks.Violations(shelf, plan));
        Assert.InRange((double)plan.PlacedWeight, best * 0.999, best * 1.001);
    }

    // By construction: four squares and two double ones tile the shelf; pieces are 20 µm smaller for the 5 µm kept around each.
    [Fact]
    public void Four_quarters_and_two_halves_fill_a_square_to_the_last_micrometre_that_is_not_owed()
    {
        List<LoadPiece> pieces = [Piece("quarter", Rectangle(99.98m, 99.98m), 20, 4, 1), Piece("half", Rectangle(199.98m, 99.98m), 20, 2, 2)];
        var shelf = OneShelf(Rectangle(400, 200), pieces);

        Assert.Equal(8, Solve(shelf, 50).PlacedWeight);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void More_iterations_never_place_fewer_rectangles_and_no_gap_is_lost(int seed)
    {
        var random = new Random(seed);
        List<LoadPiece> pieces = [.. Enumerable.Range(0, 60)
            .Select(i => Piece($"{i}", Rectangle(30 + random.Next(60), 30 + random.Next(60)), 50, 1, 1 + random.Next(5), i % 3 > 0))];
        var shelf = OneShelf(Octagon(420), pieces, gapMm: 3.001m);

        var plans = new long[] { 1, 7, 60, 400 }.Select(n => Solve(shelf, n, (ulong)seed)).ToList();

        Assert.Equal(plans.Select(p => p.PlacedWeight).Order(), plans.Select(p => p.PlacedWeight));
        Assert.All(plans, p => Assert.Empty(LoadChecks.Violations(shelf, p)));
    }
}
