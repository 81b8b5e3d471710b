using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>Whole kilns.</summary>
internal static class LoadMeasures
{
    /// <summary>120 pieces into one firing, priority is the volume in litres, over the file's reference value.</summary>
    public static string Loads(Instances instances, double milliseconds, bool stock)
    {
        var ratios = new List<double>();
        var slowest = 0.0;
        foreach (var (_, root) in instances.KilnLoads())
        {
            var (problem, best) = Load(root, stock);
            var watch = Kiln.Clock.GetTimestamp();
            var plan = Solve(problem, milliseconds);
            slowest = Math.Max(slowest, Kiln.Clock.GetElapsedTime(watch).TotalMilliseconds);
            ratios.Add((double)plan.PlacedWeight / best);
            if (LoadChecks.Violations(problem, plan) is { Count: > 0 } broken) Console.WriteLine(broken[0]);
        }

        return $"10 loads of 120 pieces, {(stock ? "posts in 25 mm steps" : "free heights")}, priority litres: {ratios.Average():0.000} of reference " +
            $"(worst {ratios.Min():0.000}; slowest {slowest:0} ms): {string.Join(' ', ratios.Select(r => $"{r:0.000}"))}";
    }

    /// <summary>How far pieces stand apart where the room that is left over is shared out, and where it is not: kilns about as full as studios fill them,
    /// those in which everything finds a place.</summary>
    public static string Gaps(double milliseconds)
    {
        var (tight, shared, late) = (new List<double>(), new List<double>(), new List<double>());
        var (loads, askew, straightened, broken) = (0, 0, 0, 0);
        for (var seed = 0; seed < 200 / Every; seed++)
        {
            var problem = LivingMeasures.Filled(seed);
            LoadPlan Planned(bool spread) => LoadSearch.Solve(
                problem, new LoadOptions { Spread = spread }, WorkBudget.OfTime(TimeSpan.FromMilliseconds(milliseconds), Kiln.Clock, CancellationToken.None));
            var from = Kiln.Clock.GetTimestamp();
            var wide = Planned(spread: true);
            late.Add(Kiln.Clock.GetElapsedTime(from).TotalMilliseconds);
            var plan = Planned(spread: false);
            if (LoadChecks.Violations(problem, wide).Count > 0) broken++;
            if (plan.Unplaced.Count + wide.Unplaced.Count > 0) continue;
            loads++;
            tight.AddRange(LeastOf(plan));
            shared.AddRange(LeastOf(wide));
            askew += Askew(plan);
            straightened += Askew(wide);
        }

        return $"{loads} loads with {tight.Count} shelves, {milliseconds} ms: least gap of a shelf, median {Median(tight):0.0} mm, shared out "
            + $"{Median(shared):0.0} mm "
            + $"({(double)shared.Count(g => g >= 9) / shared.Count:P0} have 9 mm or more, before {(double)tight.Count(g => g >= 9) / tight.Count:P0}); "
            + $"{askew} pieces stand askew, then {straightened}; slowest {late.Max():0} ms; {broken} with a violation";
    }

    private static IEnumerable<double> LeastOf(LoadPlan plan) =>
        plan.Shelves.Where(s => s.HandsMayBeOff is not null).Select(s => 2 * (double)s.HandsMayBeOff!.Value.Mm);

    private static int Askew(LoadPlan plan) => plan.Shelves.SelectMany(s => s.Placements).Count(p => p.RotationThousandths % 45_000 != 0);

    private static double Median(List<double> values) => values.Order().ElementAt(values.Count / 2);

    /// <summary>The first plan alone.</summary>
    public static string First(Instances instances, bool stock)
    {
        var (ratios, times) = (new List<double>(), new List<double>());
        foreach (var (_, root) in instances.KilnLoads())
        {
            var (problem, best) = Load(root, stock);
            var watch = Kiln.Clock.GetTimestamp();
            var plan = LoadSearch.Solve(problem, new LoadOptions(), WorkBudget.OfIterations(1, CancellationToken.None));
            times.Add(Kiln.Clock.GetElapsedTime(watch).TotalMilliseconds);
            ratios.Add((double)plan.PlacedWeight / best);
        }

        return $"first plan of 120 pieces{(stock ? ", posts in 25 mm steps" : "")}: {ratios.Average():0.000} of reference, median "
            + $"{times.Order().ElementAt(5):0} ms, slowest {times.Max():0} ms";
    }

    /// <summary>Five mugs into a kept plan of 60 pieces, 200 iterations, nothing moved.</summary>
    public static string Insertion()
    {
        var times = new List<double>();
        var placed = 0;
        for (var seed = 0; seed < 40; seed++)
        {
            List<LoadPiece> pieces = [.. Enumerable.Range(0, 60).Select(i => Piece($"{i}", Circle(60 + ((i * 37) + seed) % 50), 70 + ((i * 53) + seed) % 60))];
            var kiln = Bare(Circle(520), 6, 700, 6, pieces);
            var start = LoadSearch.Solve(kiln, new LoadOptions(), WorkBudget.OfIterations(10, CancellationToken.None));
            List<LoadPiece> more = [.. pieces, .. Enumerable.Range(0, 5).Select(i => Piece($"new{i}", Circle(80 + (3 * i)), 90))];
            var problem = LoadProblem.Create(kiln.Chamber, kiln.Furniture, kiln.Spacing, more, null, start, Keep.All).Value;
            var watch = Kiln.Clock.GetTimestamp();
            var plan = LoadSearch.Solve(problem, new LoadOptions(), WorkBudget.OfIterations(200, CancellationToken.None));
            if (seed >= 10) times.Add(Kiln.Clock.GetElapsedTime(watch).TotalMilliseconds);
            placed += 5 - plan.Unplaced.Sum(u => u.Copies.Count);
        }

        times.Sort();
        return $"5 pieces into a kept plan of 60: median {times[times.Count / 2]:0.0} ms, slowest {times[^1]:0.0} ms, {placed} of 200 placed";
    }

    /// <summary>How far past 200 ms the worst inputs run.</summary>
    public static string Deadlines()
    {
        var near = Enumerable.Range(0, 500).Select(i => Piece($"{i}", new Core.Pieces.Footprint.Circle(new Length(80_000 + i)), 100 + (i * 0.001))).ToList();
        var corners = Enumerable.Range(0, 500).Select(i => Piece($"{i}", Rectangle(80 + (i * 0.001), 60), 100 + (i * 0.001))).ToList();
        var many = new List<LoadPiece> { Piece("m", Circle(60), 80, 2000) };
        var problems = new[] { Bare(Circle(520), 6, 700, 0, near), Bare(Circle(520), 6, 700, 0, corners), Bare(Circle(5000), 1, 700, 0, many),
            LivingMeasures.Wishing(0) };
        var over = new List<string>();
        foreach (var problem in problems)
        {
            var watch = Kiln.Clock.GetTimestamp();
            var plan = Solve(problem, 200);
            over.Add($"{Kiln.Clock.GetElapsedTime(watch).TotalMilliseconds - 200:0} ms ({plan.PlacedWeight} placed)");
        }

        return $"past a limit of 200 ms: {string.Join(", ", over)}";
    }
}
