using System.Diagnostics;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using KilnShare.Solver.CoFiring;

namespace KilnShare.Benchmarks.CoFiring;

/// <summary>The fewest firings for a rack, by the plain search and by constraint programming: pieces, firings, bound, gap, milliseconds.</summary>
internal static class GroupTimes
{
    public static void Print()
    {
        Console.WriteLine("| pieces | glazes | search | firings | bound | gap | ms |\n| --- | --- | --- | --- | --- | --- | --- |");
        foreach (var (pieces, glazes) in new[] { (50, 10), (300, 40), (1000, 60) })
        {
            var rack = Rack(pieces, glazes, new Random(pieces));
            var problem = FiringGroupsProblem.Of(rack).Value;
            Row(pieces, glazes, "plain", () => FiringGroupsSolve.Solve(
                problem, new FiringGroupsOptions(), WorkBudget.OfTime(TimeSpan.FromSeconds(2), TimeProvider.System, CancellationToken.None)));
            Row(pieces, glazes, "constraint programming", () => FiringGroupsCpSat.Solve(
                problem, new FiringGroupsOptions(), WorkBudget.OfTime(TimeSpan.FromSeconds(2), TimeProvider.System, CancellationToken.None)));
        }

        var load = Rack(500, 40, new Random(5));
        var clock = Stopwatch.StartNew();
        CoFiringCheck.Check(new FiringPlan(Core.Firings.FiringKind.Glaze, Cone.Parse("6"), ConeSeries.SelfSupporting, Atmosphere.Oxidation), load);
        Console.WriteLine($"\nCheck of 500 pieces: {clock.ElapsedMilliseconds} ms (first time)");
    }

    private static void Row(int pieces, int glazes, string search, Func<FiringGroupsPlan> solve)
    {
        var clock = Stopwatch.StartNew();
        var plan = solve();
        Console.WriteLine(
            $"| {pieces} | {glazes} | {search} | {plan.Groups.Count} | {plan.LowerBound} | {plan.Groups.Count - plan.LowerBound} | "
                + $"{clock.ElapsedMilliseconds} |");
    }

    private static List<Ware> Rack(int pieces, int glazes, Random dice)
    {
        var colours = Enumerable.Range(0, glazes).Select(i =>
        {
            var from = dice.Next(14, 34);
            Atmosphere[] airs = dice.Next(4) == 0 ? [Atmosphere.Reduction] : [Atmosphere.Oxidation];
            return new Glaze(
                $"glaze {i}", new ConeRange(Cone.At(from), Cone.At(Math.Min(37, from + dice.Next(0, 3)))))
            { Atmospheres = airs, Movement = Movement.Stable };
        }).ToList();
        return [.. Enumerable.Range(0, pieces).Select(i =>
        {
            var glaze = colours[dice.Next(glazes)];
            var cones = glaze.Cones!;
            var clay = new ClayBody("clay", new ConeRange(Cone.At(Math.Max(0, cones.From.Order - 1)), Cone.At(Math.Min(37, cones.To.Order + 1))));
            return new Ware($"p{i}", Stage.Bisque, clay, [new Layer(glaze, 2, null, null)]) { BareFootMm = 6 };
        })];
    }
}
