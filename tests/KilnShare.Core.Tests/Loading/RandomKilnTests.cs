using KilnShare.Benchmarks.Loading;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class RandomKilnTests
{
    // The benchmark project runs 10,000 of the like.
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Plans_of_random_kilns_keep_every_rule(int part)
    {
        for (var seed = part * 20; seed < (part + 1) * 20; seed++)
        {
            var problem = Kiln(seed);
            var violations = LoadChecks.Violations(problem, Solve(problem, 1 + (seed % 8), (ulong)seed));
            Assert.True(violations.Count == 0, $"seed {seed}: {string.Join("; ", violations)}");
        }
    }

    // Found by the benchmark project's long runs, which make the same kilns.
    [Theory]
    [InlineData(1)] // Ware on one half shelf rose past the other half too near.
    [InlineData(349)] // A post under one half shelf ran through the other.
    [InlineData(80)] // A post stuck out from under its half shelf.
    public void Plans_with_staggered_half_shelves_keep_every_rule(int seed)
    {
        var problem = RandomKilns.WithHalves(seed);
        Assert.Empty(LoadChecks.Violations(problem, Solve(problem, 1 + (seed % 12), (ulong)seed)));
    }

    // Two posts under one narrow shelf were chosen so near to each other that they were in each other's place.
    [Fact]
    public void Posts_under_one_shelf_have_room_beside_each_other()
    {
        var problem = RandomKilns.Any(2813);
        Assert.Empty(LoadChecks.Violations(problem, Solve(problem, 6, 2813)));
    }

    // A level is lifted after it was filled, where its posts are wanted elsewhere: then its shelf (as of 56) or its ware (as of 283) would come into a
    // keep-out.
    [Theory]
    [InlineData(0)]
    [InlineData(600)]
    [InlineData(1200)]
    [InlineData(1800)]
    public void Levels_lifted_onto_longer_posts_stay_out_of_keep_outs(int from)
    {
        for (var seed = from; seed < from + 600; seed++)
        {
            var problem = ScarcePosts(seed);
            var violations = LoadChecks.Violations(problem, Solve(problem, 1, (ulong)seed));
            Assert.True(violations.Count == 0, $"seed {seed}: {string.Join("; ", violations)}");
        }
    }

    // A stack put back on several shelves was once placed in part twice, so that there were more copies than pieces.
    [Fact]
    public void A_plan_searched_on_from_places_no_copy_twice()
    {
        for (var seed = 30; seed < 50; seed++)
        {
            var kiln = RandomKilns.Any(seed, withKeepOuts: false);
            List<LoadPiece> more = [.. kiln.Pieces, Piece("one more", Circle(50 + seed), 40 + seed)];
            var problem = LoadProblem.Create(kiln.Chamber, kiln.Furniture, kiln.Spacing, more, null, Solve(kiln, 60)).Value;
            Assert.Empty(LoadChecks.Violations(problem, Solve(problem, 60)));
        }
    }

    // Few posts of each length, so that levels are lifted onto longer ones; a keep-out in mid air; shelves side by side, edge to edge.
    private static LoadProblem Kiln(int seed)
    {
        var random = new Random(seed);
        decimal Size(int low, int high) => low + (random.Next((high - low) * 1000) / 1000m);
        Footprint shelf = random.Next(4) switch
        {
            0 => Circle(Size(340, 600)),
            1 => Octagon(Size(340, 600)),
            2 => Rectangle(Size(330, 600), Size(250, 380)),
            _ => HalfCircle(Size(400, 600)),
        };
        var stock = random.Next(2) == 0;
        return Problem(
            new Chamber(Circle(Size(780, 880)), Mm(Size(400, 700)), Mm(random.Next(30)), Mm(random.Next(20))),
            new Furniture(
                [new ShelfStock("s", shelf, Mm(Size(10, 25)), 2 + random.Next(5))], stock ? PostHeights.Stock : PostHeights.Any,
                [.. Enumerable.Range(1, 4).Select(i => new PostStock(Mm(35 * i), 4 + random.Next(9)))], Mm(30), Mm(random.Next(3) * 15)),
            new KilnSpacing(Mm(random.Next(7)), Mm(random.Next(12)), Mm(random.Next(2) * 3)),
            MixedWare(4 + random.Next(8), seed),
            [new KeepOut(
                Circle(Size(20, 50)), new PlanPoint(random.Next(-300_000, 300_000), random.Next(-300_000, 300_000)), Mm(random.Next(250)),
                Mm(260 + random.Next(300)))]);
    }
}
