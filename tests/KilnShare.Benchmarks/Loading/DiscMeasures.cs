using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>Discs on one round shelf.</summary>
internal static class DiscMeasures
{
    // Larger shelves than best known, by these parts; the least that all discs are placed on counts.
    private static readonly double[] Gaps = [0.0001, 0.0005, 0.001, 0.0025, 0.005, 0.0075, 0.01, 0.015, 0.02, 0.03, 0.05, 0.08];

    // The planner keeps 5 µm more than asked; on a shelf of metres that is nothing.
    private const double ScaleMm = 200;

    /// <summary>Equal mugs on a 520 mm shelf, gap 6 mm, 25 diameters: copies placed over the best known, priority 1 each.</summary>
    public static string Mugs(Instances instances, double milliseconds)
    {
        var table = instances.EqualDiscs();
        int placed = 0, best = 0;
        for (var d = 60.0; d <= 180; d += 5)
        {
            var known = table.Where(t => t.N <= 61 && t.Ratio <= 526 / (d + 6)).Select(t => t.N).DefaultIfEmpty(0).Max();
            var plan = Solve(Bare(Circle(520.03), 1, 100, 6, [Piece("mug", Circle(d), 90, known)]), milliseconds);
            placed += (int)plan.PlacedWeight;
            best += known;
        }

        return $"one round shelf 520 mm, gap 6, 25 diameters 60-180, priority 1: {placed} of {best} = {(double)placed / best:P2}";
    }

    public static string Equal(Instances instances, int most, double milliseconds, int least = 3)
    {
        var gaps = new List<(int N, double Gap)>();
        foreach (var (n, ratio) in instances.EqualDiscs().Where(t => t.N <= most && t.N >= least && t.N % Every == 0))
            gaps.Add((n, GapOf(ratio * ScaleMm, [.. Enumerable.Repeat(ScaleMm, n)], milliseconds)));
        return $"n equal discs, shelf = best-known radius x (1+gap), least gap that holds all: mean {gaps.Average(g => g.Gap):P3}, worst {gaps.Max(g => g.Gap):P3} " +
            $"(n={gaps.MaxBy(g => g.Gap).N}); {string.Join(' ', gaps.Where(g => g.Gap > 0.0001).Select(g => $"{g.N}:{g.Gap:P2}"))}";
    }

    public static string Unequal(Instances instances, double milliseconds)
    {
        var gaps = new List<(string Name, double Gap)>();
        foreach (var (name, radii, best) in instances.UnequalDiscs().Where((_, i) => i % Every == 0))
        {
            var scale = 1500 / best;
            gaps.Add((name, GapOf(1500, [.. radii.Select(r => r * scale)], milliseconds)));
        }

        return $"unequal discs, shelf = best-known radius x (1+gap), least gap that holds all: mean {gaps.Average(g => g.Gap):P2}, worst {gaps.Max(g => g.Gap):P2}; " +
            string.Join(' ', gaps.Select(g => $"{g.Name}:{g.Gap:P2}"));
    }

    private static double GapOf(double bestRadiusMm, double[] radiiMm, double milliseconds)
    {
        foreach (var gap in Gaps)
        {
            var pieces = radiiMm.GroupBy(r => r).Select((g, i) => Piece($"{i}", Circle(2 * g.Key), 50, g.Count())).ToList();
            var plan = Solve(Bare(Circle(2 * ((bestRadiusMm * (1 + gap)) + 0.02)), 1, 100, 0, pieces), milliseconds);
            if (plan.Unplaced.Count == 0) return gap;
        }

        return 0.1;
    }
}
