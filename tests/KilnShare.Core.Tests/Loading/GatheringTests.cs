using KilnShare.Core.Loading;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class GatheringTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Ware_of_a_member_stands_together_and_that_costs_no_weight_and_no_height(ulong seed)
    {
        // Mugs in turn for three members, so that neighbours in the search belong to different ones.
        List<LoadPiece> nobodys = [.. Enumerable.Range(0, 36).Select(i => Piece($"{i}", Circle(90), 100))];
        List<LoadPiece> theirs = [.. nobodys.Select((p, i) => p with { Group = "abc"[i % 3].ToString() })];

        var apart = Solve(RoundKiln(nobodys), 30, seed);
        var together = Solve(RoundKiln(theirs), 30, seed);

        Assert.Empty(LoadChecks.Violations(RoundKiln(theirs), together));
        Assert.Equal(apart.PlacedWeight, together.PlacedWeight);
        Assert.Equal(apart.Top, together.Top);
        Assert.True(Pairs(theirs, together) < Pairs(theirs, apart), $"{Pairs(theirs, together)} against {Pairs(theirs, apart)}");
        Assert.True(MeanDistance(theirs, together) < MeanDistance(theirs, apart));
    }

    [Fact]
    public void Ware_that_asks_for_a_hot_place_gets_it_where_that_costs_nothing()
    {
        List<LoadPiece> pieces = [.. Enumerable.Range(0, 40).Select(i => Piece($"{i}", Circle(110), 90) with { Wish = i % 8 == 0 ? Heat.Hot : null })];
        var indifferent = Solve(RoundKiln([.. pieces.Select(p => p with { Wish = null })]), 30);
        LoadProblem Kiln(decimal from, decimal to) => LoadProblem.Create(
            RoundChamber, RoundFurniture, UsualSpacing, pieces, heatZones: [new HeatZone(Mm(from), Mm(to), Heat.Hot)]).Value;
        var second = indifferent.Shelves.Select(s => s.Top).Distinct().Order().ElementAt(1).Micrometres / 1000m;
        var problem = Kiln(second - 1, second + 1);

        var plan = Solve(problem, 30);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Equal(indifferent.PlacedWeight, plan.PlacedWeight);
        Assert.All(
            plan.Shelves.SelectMany(s => s.Placements.Select(p => (s.Top, Piece: pieces.Single(q => q.Id == p.PieceId)))).Where(p => p.Piece.Wish is Heat.Hot),
            p => Assert.Equal(second, p.Top.Micrometres / 1000m));
        Assert.DoesNotContain(LoadAdvice.Findings(problem, plan), f => f.Code is "loading.heat-not-as-wished");
        var nowhere = Kiln(670, 680);
        Assert.Contains(LoadAdvice.Findings(nowhere, Solve(nowhere, 5)), f => f.Code is "loading.heat-not-as-wished");
    }

    // No two are alike, so that no piece can simply take the place of another.
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Ware_of_other_sizes_makes_way_for_what_asks_for_a_cool_place_and_none_leaves_the_load(ulong seed)
    {
        List<LoadPiece> pieces = [.. Enumerable.Range(0, 36)
            .Select(i => Piece($"{i}", Circle(100 + (i * 0.7m)), 90) with { Wish = i % 6 == 0 ? Heat.Cool : null })];
        LoadPlan Planned(IReadOnlyList<HeatZone> zones) =>
            Solve(LoadProblem.Create(RoundChamber, RoundFurniture, UsualSpacing, pieces, heatZones: zones).Value, 30, seed);
        var indifferent = Planned([]);
        List<HeatZone> cool = [new HeatZone(Mm(0), Mm(250), Heat.Cool)];
        var problem = LoadProblem.Create(RoundChamber, RoundFurniture, UsualSpacing, pieces, heatZones: cool).Value;

        var plan = Planned(cool);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Equal(indifferent.PlacedWeight, plan.PlacedWeight);
        int Unmet(LoadPlan of) => of.Shelves.Sum(s => s.Placements.Count(p => problem.IsUnmet(pieces.Single(q => q.Id == p.PieceId), s.Top)));
        Assert.True(Unmet(plan) < Unmet(indifferent) && Unmet(plan) <= 1, $"{Unmet(plan)} of {Unmet(indifferent)} left");
    }

    private static int Pairs(List<LoadPiece> pieces, LoadPlan plan) =>
        plan.Shelves.SelectMany(s => s.Placements.Select(p => (s.Index, GroupOf(pieces, p)))).Distinct().Count();

    private static double MeanDistance(List<LoadPiece> pieces, LoadPlan plan)
    {
        var distances = plan.Shelves.SelectMany(s => s.Placements.SelectMany((p, i) => s.Placements.Skip(i + 1)
            .Where(q => GroupOf(pieces, p) == GroupOf(pieces, q))
            .Select(q => double.Hypot((p.X - q.X).Micrometres, (p.Y - q.Y).Micrometres)))).ToList();
        return distances.Count == 0 ? 0 : distances.Average();
    }

    private static string? GroupOf(List<LoadPiece> pieces, Placement placement) => pieces.Single(p => p.Id == placement.PieceId).Group;
}
