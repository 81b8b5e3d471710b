using System.Diagnostics;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>What must hold whatever the input: no violation, cancelled at once, no less for one piece more.</summary>
internal static class ConductMeasures
{
    /// <summary>10,000 random plans of all shapes and kinds of kiln, few iterations each, judged by the independent checks.</summary>
    public static string Random()
    {
        var plans = 10_000 / Every;
        var (broken, placed, crashed) = (0, 0, 0);
        for (var seed = 0; seed < plans; seed++)
        {
            try
            {
                var problem = RandomKiln(seed);
                var plan = LoadSearch.Solve(problem, new LoadOptions { Seed = (ulong)seed }, WorkBudget.OfIterations(1 + (seed % 12), CancellationToken.None));
                placed += plan.Shelves.Sum(s => s.Placements.Count);
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

        return $"{plans} random plans with {placed} placements: {broken} with a violation, {crashed} crashed";
    }

    /// <summary>Time from a cancellation to the answer, wall clock, while 120 to 2,000 pieces are searched.</summary>
    public static string Cancel()
    {
        var problems = new[]
        {
            RandomKiln(5, kinds: 60), RandomKiln(6, kinds: 120),
            Bare(Circle(520), 6, 700, 0, [.. Enumerable.Range(0, 500).Select(i => Piece($"{i}", new Footprint.Circle(new Length(80_000 + i)), 100 + (i * 0.001)))]),
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

        return $"from cancel to answer: median {late.Order().ElementAt(late.Count / 2):0} ms, slowest {late.Max():0} ms; {string.Join(' ', late.Select(l => $"{l:0}"))}";
    }

    /// <summary>1,000 full solves, then again with one piece more: from nothing, and from the plan there was.</summary>
    public static string OneMore()
    {
        var solves = 1_000 / Every;
        var (fallen, fallenFromStart) = (0, 0);
        for (var seed = 0; seed < solves; seed++)
        {
            var less = RandomKiln(seed, withKeepOuts: false);
            List<LoadPiece> pieces = [.. less.Pieces, Piece("one more", Circle(50 + (seed % 80)), 40 + (seed % 90))];
            LoadProblem More(LoadPlan? start) => LoadProblem.Create(less.Chamber, less.Furniture, less.Spacing, pieces, null, start).Value;
            LoadPlan Solved(LoadProblem problem) => LoadSearch.Solve(problem, new LoadOptions(), WorkBudget.OfIterations(60, CancellationToken.None));
            var before = Solved(less);
            if (Solved(More(null)).PlacedWeight < before.PlacedWeight) fallen++;
            if (Solved(More(before)).PlacedWeight < before.PlacedWeight) fallenFromStart++;
        }

        return $"{solves} solves with one piece more: placed weight fell in {fallen} ({(double)fallen / solves:P1}) from nothing, in {fallenFromStart} ({(double)fallenFromStart / solves:P1}) from the plan there was";
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

    private static LoadProblem RandomKiln(int seed, int kinds = 0, bool withKeepOuts = true)
    {
        var random = new Random(seed);
        double Size(int low, int high) => low + (random.Next((high - low) * 100) / 100.0);
        var (diameter, stock) = (Size(300, 700), random.Next(2) == 0);
        Footprint shelf = random.Next(5) switch
        {
            0 or 1 => Circle(diameter),
            2 => new Footprint.Octagon(Mm(diameter)),
            3 => Rectangle(diameter, Size(250, 600)),
            _ => new Footprint.HalfCircle(Mm(diameter)),
        };
        List<ShelfStock> shelves = [new ShelfStock("a", shelf, Mm(Size(8, 25)), 1 + random.Next(6), random.Next(3) == 0 ? random.Next(1, 9000) : null)];
        if (shelf is Footprint.Circle && random.Next(2) == 0) shelves.Add(new ShelfStock("h", new Footprint.HalfCircle(Mm(diameter)), Mm(15), 1 + random.Next(6)));
        List<PostStock> posts = [.. Enumerable.Range(1, 5).Select(i => new PostStock(Mm(30 * i), random.Next(16)))];
        var furniture = new Furniture(shelves, stock ? PostHeights.Stock : PostHeights.Any, posts, Mm(stock ? Size(20, 45) : random.Next(2) * 30), Mm(random.Next(40)));
        var chamber = new Chamber(
            random.Next(3) == 0 ? Rectangle(Size(720, 900), Size(720, 900)) : Circle(Size(740, 900)), Mm(Size(200, 900)), Mm(random.Next(60)), Mm(random.Next(30)));
        List<KeepOut> keepOuts = withKeepOuts && random.Next(3) == 0
            ? [new KeepOut(Circle(Size(20, 60)), new PlanPoint(random.Next(-350_000, 350_000), random.Next(-350_000, 350_000)), Mm(random.Next(300)), Mm(310 + random.Next(500)))] : [];
        var pieces = Enumerable.Range(0, kinds > 0 ? kinds : 1 + random.Next(14)).Select(i => AnyPiece(i, random)).ToList();
        return LoadProblem.Create(
            chamber, furniture, new KilnSpacing(Mm(random.Next(8)), Mm(random.Next(15)), Mm(random.Next(5))), pieces, keepOuts,
            heatZones: [new HeatZone(Length.Zero, Mm(150), Heat.Cool)]).Value;
    }

    private static LoadPiece AnyPiece(int i, Random random)
    {
        double Size(int low, int high) => low + (random.Next((high - low) * 1000) / 1000.0);
        var (w, d) = (Size(30, 160), Size(30, 160));
        Footprint footprint = random.Next(6) switch
        {
            0 or 1 => Circle(w),
            2 => Rectangle(w, d),
            3 => new Footprint.Octagon(Mm(w)),
            4 => new Footprint.HalfCircle(Mm(w + d)),
            _ => new Footprint.Polygon([new(0, 0), new(Mm(w).Micrometres, 0), new(Mm(w).Micrometres, Mm(d / 3).Micrometres), new(Mm(w / 3).Micrometres, Mm(d / 3).Micrometres), new(Mm(w / 3).Micrometres, Mm(d).Micrometres), new(0, Mm(d).Micrometres)]),
        };
        return new LoadPiece(
            $"p{i}", footprint, Mm(Size(10, 260)), random.Next(3) == 0 ? null : random.Next(1, 3000), 1 + random.Next(6), 1 + (random.Next(40) / 10m), random.Next(4) != 0,
            random.Next(5) == 0, random.Next(6) == 0 ? new StackRule(1 + random.Next(4), Mm(Size(3, 30))) : null, random.Next(2) == 0 ? "ab"[i % 2].ToString() : null)
        {
            Wish = random.Next(5) == 0 ? Heat.Cool : null,
        };
    }
}
