using KilnShare.Core.Common;
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
            [Piece("light", Circle(150), 100, quantity: 6, massG: 100), Piece("heavy", Circle(150), 120, quantity: 6, massG: 3000),
                Piece("tall", Circle(100), 200, quantity: 4, massG: 500)]);

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
        var problem = Problem(
            RoundChamber, furniture, UsualSpacing, [Piece("tall", Circle(200), 380, quantity: 5), Piece("plate", Circle(200), 30, quantity: 4)]);

        var codes = LoadAdvice.Findings(problem, Solve(problem, 30)).Select(f => f.Code).ToList();

        Assert.Contains("loading.thin-shelf", codes, StringComparer.Ordinal);
        Assert.Contains("loading.tall-stacked-posts", codes, StringComparer.Ordinal);
    }

    // The centroid of a half disc lies 4r/3π from the middle of its flat side (closed form); of two masses it divides their distance inversely.
    [Fact]
    public void The_centre_of_mass_of_the_ware_is_where_statics_has_it()
    {
        var problem = OneShelf(
            Circle(500), [Piece("half", HalfCircle(200), 60, massG: 300), Piece("mug", Circle(80), 100, massG: 100), Piece("unweighed", Circle(30), 20)]);
        var half = new Placement("half", [0], Mm(10), Mm(20), 90_000, false);
        var mug = new Placement("mug", [0], Mm(-150), Mm(0), 0, false);
        var shelf = new PlacedShelf(
            0, "s", Length.Zero, Length.Zero, 0, Mm(10), Mm(190), 0, [half, mug, new Placement("unweighed", [0], Mm(0), Mm(-100), 0, false)]);

        var summary = LoadSummary.Of(problem, new LoadPlan([shelf], [], [], Mm(110), 3, 3, StopReason.SearchEnded, 0));

        Assert.Equal(400, summary.WareMassG);
        Assert.Equal(1, summary.Unweighed);
        var y = 20 + (4 * 100 / (3 * Math.PI));
        Assert.Equal(((3 * 10) - 150) / 4.0, summary.CentreOfMass!.X.Micrometres / 1000.0, 0.001);
        Assert.Equal(3 * y / 4, summary.CentreOfMass.Y.Micrometres / 1000.0, 0.001);
        Assert.Equal(10 + (((3 * 30) + 50) / 4.0), summary.CentreOfMass.Z.Micrometres / 1000.0, 0.001);
    }

    // The contract's example: the full shelf stands on three posts of 25 mm.
    [Fact]
    public void The_posts_to_take_out_are_those_of_the_plan()
    {
        var problem = RoundKiln([Piece("mug", Circle(90), 110, 2)]);

        Assert.Equal([(Mm(25), 3)], LoadSummary.Of(problem, Solve(problem)).Posts);
    }
}
