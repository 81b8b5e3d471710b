using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class LoadAdviceTests
{
    [Fact]
    public void Heavy_levels_come_lowest_and_ware_is_loaded_from_the_bottom_and_the_far_side()
    {
        var problem = RoundKiln(
            [Piece("light", Circle(150), 100, quantity: 6, massG: 100), Piece("heavy", Circle(150), 120, quantity: 6, massG: 3000), Piece("tall", Circle(100), 200, quantity: 4, massG: 500)]);

        var plan = Solve(problem, 30);
        var order = LoadAdvice.Order(plan);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Equal(order.Select(o => o.Shelf).Order(), order.Select(o => o.Shelf));
        Assert.All(order.Zip(order.Skip(1)).Where(p => p.First.Shelf == p.Second.Shelf), p => Assert.True(p.First.Placement.Y >= p.Second.Placement.Y));
    }

    [Fact]
    public void Tall_stacked_posts_and_thin_wide_shelves_are_named()
    {
        var furniture = new Furniture(
            [new ShelfStock("thin", Circle(533), Mm(12), 2)], PostHeights.Stock, [new PostStock(Mm(25), 3), new PostStock(Mm(200), 6)], Mm(38), Mm(25));
        var problem = Problem(RoundChamber, furniture, UsualSpacing, [Piece("tall", Circle(200), 380, quantity: 5), Piece("plate", Circle(200), 30, quantity: 4)]);

        var codes = LoadAdvice.Findings(problem, Solve(problem, 30)).Select(f => f.Code).ToList();

        Assert.Contains("loading.thin-shelf", codes, StringComparer.Ordinal);
        Assert.Contains("loading.tall-stacked-posts", codes, StringComparer.Ordinal);
    }
}
