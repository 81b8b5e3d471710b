using System.Diagnostics;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>What must hold whatever the input: no violation, cancelled at once, no less for one piece more.</summary>
internal static class ConductMeasures
{
    /// <summary>10,000 random plans of all shapes and kinds of kiln, few iterations each, judged by the independent checks.</summary>
    public static string Random() => Judged(10_000 / Every, seed => RandomKilns.Any(seed));

    /// <summary>The same with staggered halves on posts from a stock, beside a thermocouple and witness cones.</summary>
    public static string Halves() => Judged(10_000 / Every, RandomKilns.WithHalves);

    private static string Judged(int plans, Func<int, LoadProblem> kiln)
    {
        var (broken, placed, crashed, staggered) = (0, 0, 0, 0);
        for (var seed = Skip; seed < Skip + plans; seed++)
        {
            try
            {
                var problem = kiln(seed);
                var plan = LoadSearch.Solve(problem, new LoadOptions { Seed = (ulong)seed }, WorkBudget.OfIterations(1 + (seed % 12), CancellationToken.None));
                placed += plan.Shelves.Sum(s => s.Placements.Count);
                if (plan.Shelves.Where(s => s.ShelfId is "h").GroupBy(s => s.Top).Any(g => g.Count() == 1)) staggered++;
                if (LoadChecks.Violations(problem, plan) is not { Count: > 0 } violations) continue;
                broken++;
                Console.WriteLine($"seed {seed}: {violations[0]}");
            }
            catch (Exception e) when (e is InvalidOperationException or ArgumentException or OverflowException or IndexOutOfRangeException)
            {
                crashed++;
                Console.WriteLine($"seed {seed}: {e.Message}");
            }
        }

        return $"{plans} random plans from seed {Skip} with {placed} placements, {staggered} with staggered halves: {broken} with a violation, "
            + $"{crashed} crashed";
    }

    /// <summary>Time that the independent checks take on a half-round shelf with about a dozen pieces of all shapes, the median of 40 plans.</summary>
    public static string Checks()
    {
        var (times, placed, violations) = (new List<double>(), 0, 0);
        for (var seed = 0; seed < 40; seed++)
        {
            var pieces = RandomKilns.Any(seed, kinds: 8).Pieces;
            var problem = Bare(new Footprint.HalfCircle(Mm(560)), 1, 300, 4, pieces);
            var plan = LoadSearch.Solve(problem, new LoadOptions { Seed = (ulong)seed }, WorkBudget.OfIterations(10, CancellationToken.None));
            placed += plan.Shelves.Sum(s => s.Placements.Count);
            var from = Stopwatch.GetTimestamp();
            violations += LoadChecks.Violations(problem, plan).Count;
            times.Add(Stopwatch.GetElapsedTime(from).TotalMilliseconds);
        }

        return $"checks of a half-round shelf with {placed / 40.0:0.0} placements: median {times.Order().ElementAt(20):0.00} ms, slowest {times.Max():0.00} "
            + $"ms, {violations} violations";
    }

    /// <summary>Time from a cancellation to the answer, wall clock, while 120 to 2,000 pieces are searched.</summary>
    public static string Cancel()
    {
        var problems = new[]
        {
            RandomKilns.Any(5, kinds: 60), RandomKilns.Any(6, kinds: 120),
            Bare(Circle(520), 6, 700, 0, [
                .. Enumerable.Range(0, 500).Select(i => Piece($"{i}", new Footprint.Circle(new Length(80_000 + i)), 100 + (i * 0.001)))]),
            Bare(Circle(520), 6, 700, 0, [.. Enumerable.Range(0, 500).Select(i => Piece($"{i}", Rectangle(80 + (i * 0.001), 60), 100 + (i * 0.001)))]),
            Bare(Circle(5000), 1, 700, 0, [Piece("m", Circle(60), 80, 2000)]),
        };
        var late = new List<double>();
        foreach (var problem in problems)
        {
            foreach (var after in new[] { 5, 60, 300 })
            {
                using var source = new CancellationTokenSource();
                var cancelledAt = 0L;
                source.Token.Register(() => cancelledAt = Stopwatch.GetTimestamp());
                source.CancelAfter(after);
                LoadSearch.Solve(problem, new LoadOptions(), WorkBudget.OfIterations(long.MaxValue, source.Token));
                late.Add(cancelledAt == 0 ? 0 : Stopwatch.GetElapsedTime(cancelledAt).TotalMilliseconds);
            }
        }

        return $"from cancel to answer: median {late.Order().ElementAt(late.Count / 2):0} ms, slowest {late.Max():0} ms; "
            + $"{string.Join(' ', late.Select(l => $"{l:0}"))}";
    }

    /// <summary>1,000 full solves, then again with one piece more: from nothing, and from the plan there was.</summary>
    public static string OneMore()
    {
        var solves = 1_000 / Every;
        var (fallen, fallenFromStart) = (0, 0);
        for (var seed = Skip; seed < Skip + solves; seed++)
        {
            var less = RandomKilns.Any(seed, withKeepOuts: false);
            List<LoadPiece> pieces = [.. less.Pieces, Piece("one more", Circle(50 + (seed % 80)), 40 + (seed % 90))];
            LoadProblem More(LoadPlan? start) => LoadProblem.Create(less.Chamber, less.Furniture, less.Spacing, pieces, null, start).Value;
            LoadPlan Solved(LoadProblem problem) => LoadSearch.Solve(problem, new LoadOptions(), WorkBudget.OfIterations(60, CancellationToken.None));
            var before = Solved(less);
            if (Solved(More(null)).PlacedWeight < before.PlacedWeight) fallen++;
            if (Solved(More(before)).PlacedWeight < before.PlacedWeight) fallenFromStart++;
        }

        return $"{solves} solves with one piece more: placed weight fell in {fallen} ({(double)fallen / solves:P1}) from nothing, in {fallenFromStart} "
            + $"({(double)fallenFromStart / solves:P1}) from the plan there was";
    }

    /// <summary>Four levels of equal discs at the best known number for their size, less a slack: all of it is known to fit.</summary>
    public static string Planted(Instances instances, double slack, double milliseconds)
    {
        var shares = new List<double>();
        for (var seed = 0; seed < 10; seed++)
        {
            var random = new Random(seed);
            var pieces = new List<LoadPiece>();
            double height = 0;
            var known = instances.EqualDiscs().Where(t => t.N is >= 7 and <= 30).ToList();
            for (var level = 0; level < 4; level++)
            {
                var (n, ratio) = known[random.Next(known.Count)];
                var h = 60 + random.Next(120);
                var d = (500 / ratio * (1 - slack)) - 0.02;
                for (var i = 0; i < n; i++)
                {
                    var own = i == 0 ? h : h - random.Next(20);
                    pieces.Add(Piece($"{level}-{i}", Circle(d), own, 1, decimal.Round((decimal)(Math.PI * d * d / 4 * own / 1e6), 4)));
                }

                height += h + 1.01;
            }

            var problem = Bare(Circle(500), 4, height, 0, pieces);
            shares.Add((double)(Solve(problem, milliseconds).PlacedWeight / pieces.Sum(p => p.Priority)));
        }

        return $"10 planted loads of four levels, slack {slack:P0}, priority litres: {shares.Average():P2} placed (worst {shares.Min():P1})";
    }
}
