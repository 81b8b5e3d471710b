using CsCheck;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Checks;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>What a plan leaves over is shared out, so that hands can follow it.</summary>
public class SharingOutTests
{
    private static LoadPlan Spread(LoadProblem problem, long iterations = 50, ulong seed = 1) => LoadSearch.Solve(
        problem, new LoadOptions { Seed = seed, Spread = true }, WorkBudget.OfIterations(iterations, TestContext.Current.CancellationToken));

    // By hand: across, 120 - 100 leaves 10 on either side. Along, 400 - 2 x 100 - 6 leaves 194: a quarter of it to each edge, half of it between the two.
    [Fact]
    public void Two_equal_discs_on_a_long_shelf_stand_a_quarter_of_what_is_left_from_either_end()
    {
        var problem = OneShelf(Rectangle(400, 120), [Piece("bowl", Circle(100), 80, quantity: 2)], gapMm: 6);

        var plan = Spread(problem);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        var stand = plan.Shelves[0].Placements.OrderBy(p => p.X).ToList();
        Assert.Equal((-101.5, 101.5), (Mid(stand[0].X), Mid(stand[1].X)));
        Assert.All(stand, p => Assert.Equal(0, Mid(p.Y)));
        Assert.InRange(plan.Shelves[0].HandsMayBeOff!.Value.Mm, 51.2m, 51.5m);
    }

    // By hand: 300 - 2 x 100 - 6 leaves 94 each way.
    [Fact]
    public void Four_equal_discs_on_a_square_shelf_stand_in_a_square()
    {
        var problem = OneShelf(Rectangle(300, 300), [Piece("bowl", Circle(100), 80, quantity: 4)], gapMm: 6);

        var plan = Spread(problem);

        Assert.Equal(
            [(-76.5, -76.5), (-76.5, 76.5), (76.5, -76.5), (76.5, 76.5)],
            plan.Shelves[0].Placements.Select(p => (Mid(p.X), Mid(p.Y))).Order());
    }

    // To half a millimetre.
    private static double Mid(Length length) => Math.Round(length.Micrometres / 500.0) / 2;

    [Fact]
    public void Zz_explore()
    {
        var o = TestContext.Current.TestOutputHelper!;
        for (var seed = 1; seed < 6; seed++)
        {
            var problem = RoundKiln(MixedWare(10, seed));
            var t = System.Diagnostics.Stopwatch.StartNew();
            var tight = Solve(problem, 50, (ulong)seed);
            var a = t.Elapsed.TotalMilliseconds;
            t.Restart();
            var wide = SharingOut.Of(problem, tight, new LoadOptions(), WorkBudget.OfIterations(50, TestContext.Current.CancellationToken));
            o.WriteLine($"seed {seed} {a:0} ms, {t.Elapsed.TotalMilliseconds:0} ms; {string.Join(' ', LoadChecks.Violations(problem, wide))}");
            for (var s = 0; s < tight.Shelves.Count; s++) o.WriteLine($"  {tight.Shelves[s].Placements.Count} {tight.Shelves[s].HandsMayBeOff} -> {wide.Shelves[s].HandsMayBeOff} askew {tight.Shelves[s].Placements.Count(p => p.RotationThousandths % 45000 != 0)} -> {wide.Shelves[s].Placements.Count(p => p.RotationThousandths % 45000 != 0)}");
        }
    }
}
