using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class HalfShelfTests
{
    [Fact]
    public void Tall_ware_stands_beside_half_shelves_with_mugs_on_them()
    {
        // 600 mm of vase leaves no whole shelf above it; the mugs only fit when half shelves stand beside it.
        var problem = RoundKiln([Piece("vase", Circle(150), 600, priority: 50, massG: 2000), Piece("mug", Circle(90), 110, quantity: 40, massG: 300)]);

        var plan = Solve(problem, 150);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        var vase = Assert.Single(plan.Shelves.SelectMany(s => s.Placements), p => p.PieceId is "vase");
        Assert.True(vase.OpenAbove);
        Assert.True(plan.Shelves.Count(s => s.ShelfId is "half") >= 2);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void Plans_with_half_shelves_keep_every_rule(int seed)
    {
        var problem = RoundKiln([.. MixedWare(12, seed), Piece("tall", Circle(120), 480, quantity: 2, priority: 30)]);

        Assert.Empty(LoadChecks.Violations(problem, Solve(problem, 120, (ulong)seed)));
    }

    // A pipe from floor to lid at the wall: a full shelf lies nowhere, the half shelf on the other side does.
    [Fact]
    public void Beside_a_keep_out_from_floor_to_lid_the_half_shelves_of_the_other_side_are_used()
    {
        var pipe = new KeepOut(Circle(30), new PlanPoint(Mm(255).Micrometres, 0), Length.Zero, Mm(685));
        var problem = RoundKiln([Piece("mug", Circle(90), 110, 12)], [pipe]);

        var plan = Solve(problem, 30);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Equal(12, plan.PlacedWeight);
        Assert.All(plan.Shelves, s => Assert.Equal("half", s.ShelfId));
    }

    // A thermocouple on the right in mid air: side by side at one height no half shelves lie there, on the left alone they do.
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Beside_a_keep_out_over_one_side_half_shelves_lie_at_heights_of_their_own(ulong seed)
    {
        var thermocouple = new KeepOut(Rectangle(120, 30), new PlanPoint(Mm(150).Micrometres, -Mm(15).Micrometres), Mm(150), Mm(400));
        var problem = RoundKiln(
            [Piece("vase", Circle(150), 560, priority: 50, massG: 2000), Piece("mug", Circle(90), 110, quantity: 40, massG: 300)], [thermocouple]);

        var plan = Solve(problem, 100, seed);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Contains(plan.Shelves.SelectMany(s => s.Placements), p => p.PieceId is "vase");
        Assert.Contains(plan.Shelves.Where(s => s.ShelfId is "half").GroupBy(s => s.Top), g => g.Count() == 1);
    }
}
