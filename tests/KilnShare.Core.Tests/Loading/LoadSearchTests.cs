using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class LoadSearchTests
{
    // Figures computed by hand from the rules: posts at 533/2 - 25 from the middle, a third of a turn apart; 25 + 19 = 44; 685 - 44 - 12 = 629.
    [Fact]
    public void Two_mugs_stand_on_one_full_shelf_on_the_shortest_posts()
    {
        var plan = Solve(RoundKiln([Piece("mug", Circle(90), 110, quantity: 2, massG: 380)]));

        var shelf = Assert.Single(plan.Shelves);
        Assert.Equal(("full", Mm(44), Mm(629), 0.057m), (shelf.ShelfId, shelf.Top, shelf.ClearAbove, shelf.AreaUse));
        Assert.Equal((Mm(154), 2m, 2m, StopReason.Proven), (plan.Top, plan.PlacedWeight, plan.WeightBound, plan.Stopped));
        Assert.Equal(
            [(0m, 241.5m), (-209.145m, -120.75m), (209.145m, -120.75m)], plan.Posts.Select(p => (p.X.Mm, p.Y.Mm)));
        Assert.All(plan.Posts, p => Assert.Equal((0m, 25m), (p.From.Mm, p.To.Mm)));
    }

    // Closed forms: the radius that holds n unit discs is 1, 3, 1 + sqrt 2 + sqrt 6 for n = 1, 7, 19 (Fodor 1999 proves 19).
    [Theory]
    [InlineData(7, 3.0)]
    [InlineData(19, 4.8637033)]
    public void Equal_discs_go_onto_the_smallest_round_shelf_that_holds_them(int discs, double radii)
    {
        var shelf = new Footprint.Circle(new Length((long)(radii * 200_000 * 1.0005)));
        var plan = Solve(OneShelf(shelf, [Piece("d", Circle(200), 50, quantity: discs)]), 3000);

        Assert.Equal(discs, plan.PlacedWeight);
        Assert.Empty(LoadChecks.Violations(OneShelf(shelf, [Piece("d", Circle(200), 50, quantity: discs)]), plan));
    }

    [Theory]
    [MemberData(nameof(Kilns))]
    public void Every_plan_of_random_ware_keeps_every_rule(string name, int seed)
    {
        var problem = KilnNamed(name, MixedWare(14, seed), seed);

        var plan = Solve(problem, 60, (ulong)seed);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.True(plan.PlacedWeight > 0);
    }

    public static TheoryData<string, int> Kilns()
    {
        var data = new TheoryData<string, int>();
        foreach (var name in new[] { "round", "octagon", "halfRound", "rectangle", "polygon", "halves", "free", "keepOuts" })
        {
            for (var seed = 1; seed <= 4; seed++) data.Add(name, seed);
        }

        return data;
    }

    [Fact]
    public void The_same_iterations_and_seed_give_the_same_plan()
    {
        var problem = RoundKiln(MixedWare(20, 5));

        Assert.Equivalent(Solve(problem, 80, 3), Solve(problem, 80, 3), strict: true);
    }

    internal static LoadProblem KilnNamed(string name, IReadOnlyList<LoadPiece> pieces, int seed)
    {
        var posts = RoundFurniture.Posts;
        Furniture Stock(params ShelfStock[] shelves) => new(shelves, PostHeights.Stock, posts, Mm(38), Mm(25));
        var height = Mm(500 + (seed * 37));
        return name switch
        {
            "round" => Problem(RoundChamber, Stock(new ShelfStock("full", Circle(533), Mm(19), 4)), UsualSpacing, pieces),
            "octagon" => Problem(new(Octagon(600), height, Mm(20), Mm(12)), Stock(new ShelfStock("o", Octagon(560), Mm(16), 4)), UsualSpacing, pieces),
            "halfRound" => Problem(new(HalfCircle(800), height, Mm(15), Mm(12)), Stock(new ShelfStock("h", HalfCircle(780), Mm(16), 4)), UsualSpacing, pieces),
            "rectangle" => Problem(
                new(Rectangle(700, 620), height, Mm(20), Mm(12)), Stock(new ShelfStock("r", Rectangle(320, 580), Mm(20), 6)), UsualSpacing, pieces),
            "polygon" => Problem(
                new(Polygon((-300, -250), (300, -250), (300, 250), (0, 250), (0, 100), (-300, 100)), height, Mm(10), Mm(12)),
                Stock(new ShelfStock("l", Polygon((-290, -240), (290, -240), (290, 240), (10, 240), (10, 90), (-290, 90)), Mm(15), 4)), UsualSpacing, pieces),
            "halves" => Problem(RoundChamber, RoundFurniture, UsualSpacing, pieces),
            "free" => Problem(
                RoundChamber, new([new ShelfStock("full", Circle(533), Mm(19), 5)], PostHeights.Any, [], Mm(38), Mm(25)), UsualSpacing, pieces),
            _ => Problem(
                RoundChamber, Stock(new ShelfStock("full", Circle(500), Mm(19), 4)), UsualSpacing, pieces,
                [new KeepOut(Circle(50), new PlanPoint(250_000, 0), Mm(300), Mm(380)),
                    new KeepOut(Rectangle(60, 30), new PlanPoint(-200_000, 100_000), Mm(60), Mm(200))]),
        };
    }
}
