using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class PostTests
{
    public static TheoryData<string, int> Kilns()
    {
        var data = new TheoryData<string, int>();
        foreach (var shape in new[] { "round", "odd round", "octagon", "square", "half and full", "half and smaller full", "ell" })
        {
            for (var seed = 0; seed < 4; seed++) data.Add(shape, seed);
        }

        return data;
    }

    // The contract: a post's axis lies on the shelf it stands on, also where its axis may be on the very edge.
    [Theory]
    [MemberData(nameof(Kilns))]
    public void Posts_on_the_very_edge_of_a_shelf_stand_on_the_shelf_below(string shape, int seed)
    {
        var problem = Problem(
            new Chamber(Circle(700), Mm(620), Length.Zero, Mm(10)),
            new Furniture(ShelvesOf(shape), PostHeights.Stock, [new PostStock(Mm(50), 40), new PostStock(Mm(120), 40)], Mm(30), Length.Zero),
            UsualSpacing, MixedWare(12, seed));

        var plan = Solve(problem, 20, (ulong)seed);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.NotEmpty(plan.Posts);
        var more = Problem(problem.Chamber, problem.Furniture, UsualSpacing, [.. problem.Pieces, Piece("new", Circle(60), 40, 3)], null, plan, Keep.All);
        Assert.Empty(LoadChecks.Violations(more, Solve(more, 20, (ulong)seed)));
    }

    // Two shelves edge to edge, posts on the very edge: one on the line between them carries both.
    [Fact]
    public void A_post_where_two_shelves_meet_carries_both()
    {
        var shelf = new ShelfStock("s", Rectangle(334.37m, 272.28m), Mm(23.39m), 4);
        for (ulong seed = 0; seed < 6; seed++)
        {
            var problem = Problem(
                new Chamber(Circle(780.39m), Mm(469.04m), Mm(24), Mm(13)), new Furniture([shelf], PostHeights.Any, [], Mm(30), Length.Zero),
                new KilnSpacing(Mm(4), Mm(5), Length.Zero), MixedWare(14, (int)seed));

            Assert.Empty(LoadChecks.Violations(problem, Solve(problem, 10, seed)));
        }
    }

    private static ShelfStock[] ShelvesOf(string shape) => shape switch
    {
        "round" => [new ShelfStock("s", Circle(560), Mm(15), 6)],
        "odd round" => [new ShelfStock("s", Circle(560.001m), Mm(15), 6), new ShelfStock("t", Circle(500.003m), Mm(15), 6)],
        "octagon" => [new ShelfStock("s", Octagon(520.001m), Mm(15), 6)],
        "square" => [new ShelfStock("s", Rectangle(400.001m, 380.003m), Mm(15), 6)],
        "half and full" => [new ShelfStock("s", Circle(560), Mm(15), 3), new ShelfStock("h", HalfCircle(560), Mm(15), 4)],
        "half and smaller full" => [new ShelfStock("s", Circle(460), Mm(15), 3), new ShelfStock("h", HalfCircle(560), Mm(15), 4)],
        _ => [new ShelfStock("s", Ell(420, 420), Mm(15), 4), new ShelfStock("t", Circle(450), Mm(15), 3)],
    };
}
