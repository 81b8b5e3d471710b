using System.Diagnostics;
using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>Prints one line a measure: what it is, how it maps to shelves, heights and priorities, the goal, what was measured.</summary>
internal static class LoadingTable
{
    public static void Print(string? folder, string[] only)
    {
        if (folder is null || !Directory.Exists(folder))
            Console.WriteLine("No folder of instances given (argument, or KILNSHARE_PACKING_DATA); the measures that need none are run.");
        var instances = folder is not null && Directory.Exists(folder) ? new Instances(folder) : null;
        WarmUp();
        foreach (var (name, measure) in Measures(instances))
        {
            if (only.Length > 0 && !only.Contains(name)) continue;
            var watch = Stopwatch.StartNew();
            Console.WriteLine($"{name,-18} {measure()}  [{watch.Elapsed.TotalSeconds:0} s]");
        }
    }

    private static IEnumerable<(string Name, Func<string> Measure)> Measures(Instances? instances)
    {
        if (instances is not null)
        {
            yield return ("mugs-0.1", () => DiscMeasures.Mugs(instances, 100));
            yield return ("mugs-5", () => DiscMeasures.Mugs(instances, 5000));
            yield return ("equal-0.1", () => DiscMeasures.Equal(instances, 50, 100));
            yield return ("equal-1", () => DiscMeasures.Equal(instances, 50, 1000));
            yield return ("equal-5", () => DiscMeasures.Equal(instances, 50, 5000));
            yield return ("equal100-5", () => DiscMeasures.Equal(instances, 100, 5000, 51));
            yield return ("shapes-1", () => DiscMeasures.Shapes(instances, 1000));
            yield return ("unequal-0.1", () => DiscMeasures.Unequal(instances, 100));
            yield return ("unequal-1", () => DiscMeasures.Unequal(instances, 1000));
            yield return ("unequal-5", () => DiscMeasures.Unequal(instances, 5000));
            yield return ("rects-0.1", () => RectangleMeasures.InCircle(instances, 100));
            yield return ("rects-1", () => RectangleMeasures.InCircle(instances, 1000));
            yield return ("rects-5", () => RectangleMeasures.InCircle(instances, 5000));
            yield return ("bins-1", () => RectangleMeasures.Bins(instances, 1000, 5));
            yield return ("bins-10", () => RectangleMeasures.Bins(instances, 10000, 6));
            yield return ("first", () => LoadMeasures.First(instances, stock: false));
            yield return ("first-stock", () => LoadMeasures.First(instances, stock: true));
            yield return ("load-0.1", () => LoadMeasures.Loads(instances, 100, stock: false));
            yield return ("load-1", () => LoadMeasures.Loads(instances, 1000, stock: false));
            yield return ("load-5", () => LoadMeasures.Loads(instances, 5000, stock: false));
            yield return ("load-stock-5", () => LoadMeasures.Loads(instances, 5000, stock: true));
            yield return ("planted-2", () => ConductMeasures.Planted(instances, 0.02, 5000));
            yield return ("planted-5", () => ConductMeasures.Planted(instances, 0.05, 5000));
            yield return ("firings-1", () => SeriesMeasures.Firings(instances, 1000));
            yield return ("firings-30", () => SeriesMeasures.Firings(instances, 30_000));
        }

        yield return ("own-unequal-1", () => DiscMeasures.OwnUnequal(1000));
        yield return ("own-unequal-5", () => DiscMeasures.OwnUnequal(5000));
        yield return ("large", DiscMeasures.Large);
        yield return ("insert", LoadMeasures.Insertion);
        yield return ("gaps", () => LoadMeasures.Gaps(500));
        yield return ("deadline", LoadMeasures.Deadlines);
        yield return ("checks", ConductMeasures.Checks);
        yield return ("cancel", ConductMeasures.Cancel);
        yield return ("replan", LivingMeasures.Replan);
        yield return ("wishes", LivingMeasures.Wishes);
        yield return ("one-more", ConductMeasures.OneMore);
        yield return ("random", ConductMeasures.Random);
        yield return ("random-halves", ConductMeasures.Halves);
    }

    private static void WarmUp()
    {
        var pieces = Enumerable.Range(0, 30).Select(i => Piece($"{i}", i % 3 == 0 ? Rectangle(60 + i, 70) : Circle(60 + (3 * i)), 50 + (4 * i))).ToList();
        var problem = Bare(Circle(520), 4, 400, 6, pieces);
        for (var i = 0; i < 8; i++) Solve(problem, 120, (ulong)i);
        var boxes = Bare(Circle(520), 1, 60, 0, [.. Enumerable.Range(0, 60).Select(i => Piece($"{i}", Rectangle(40 + (i * 1.1), 50 + (i * 0.7)), 50))]);
        for (var i = 0; i < 8; i++) Solve(boxes, 120, (ulong)i);
    }
}
