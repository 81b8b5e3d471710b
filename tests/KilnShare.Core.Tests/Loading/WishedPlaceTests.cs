using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class WishedPlaceTests
{
    [Theory]
    [InlineData(Heat.Hot)]
    [InlineData(Heat.Cool)]
    public void Ware_that_comes_to_a_load_that_stays_stands_as_hot_as_it_asks_where_there_is_room(Heat wish)
    {
        HeatZone[] zones = [new(Mm(0), Mm(300), Heat.Cool), new(Mm(300), Mm(685), Heat.Hot)];
        List<LoadPiece> wide = [.. Enumerable.Range(0, 3).Select(i => Piece($"{i}", Circle(300), 120))];
        var before = Solve(RoundKiln(wide), 30);
        var problem = LoadProblem.Create(
            RoundChamber, RoundFurniture, UsualSpacing, [.. wide, Piece("wishes", Circle(90), 100) with { Wish = wish }], start: before, keep: Keep.All,
                heatZones: zones).Value;

        var plan = Solve(problem, 30);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Empty(plan.Unplaced);
        Assert.Equal(0, problem.UnmetIn(plan));
    }
}
