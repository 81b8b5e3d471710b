using KilnShare.Core.Pieces;
using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>Discs on one shelf.</summary>
internal static class DiscMeasures
{
    // Shelves larger than best known are tried in steps of a quarter, from 0.001 % to 8 %.
    private const double LeastGap = 0.00001;
    private const double MostGap = 0.08;
    private const double Step = 1.25;

    // The planner keeps 10 µm (5 asked of it, 5 for rounding) between things: on so large a shelf they are 0.0002 %, and they are given to it.
    private const double RadiusMm = 2490;
    private const double KeptMm = 0.01;

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

    public static string Equal(Instances instances, int most, double milliseconds, int least = 3) =>
        Told("n equal discs", [.. instances.EqualDiscs().Where(t => t.N <= most && t.N >= least && t.N % Every == 0)
            .Select(t => ($"{t.N}", GapOf(t.Ratio, [.. Enumerable.Repeat(1.0, t.N)], Circle, milliseconds)))]);

    public static string Unequal(Instances instances, double milliseconds) =>
        Told("unequal discs", [.. instances.UnequalDiscs().Where((_, i) => i % Every == 0)
            .Select(t => (t.Name, GapOf(t.BestRadius, t.Radii, Circle, milliseconds)))]);

    /// <summary>Sets of other families than the published, to choose rules by: the gap is to a shelf a little smaller than any found for the set.</summary>
    public static string OwnUnequal(double milliseconds) =>
        Told("unequal discs of our own making", [.. OwnSets().Where((_, i) => i % Every == 0)
            .Select(t => (t.Name, GapOf(Math.Sqrt(t.Radii.Sum(r => r * r) / t.Covered), t.Radii, Circle, milliseconds)))]);

    private static IEnumerable<(string Name, double[] Radii, double Covered)> OwnSets()
    {
        foreach (var (n, covered) in new[] { (20, 0.836), (32, 0.8575) })
            yield return ($"root {n}", [.. Enumerable.Range(1, n).Select(i => Math.Sqrt(i))], covered);
        foreach (var (n, covered) in new[] { (18, 0.8247), (27, 0.836), (36, 0.8458) })
        {
            var random = new Random(n);
            yield return ($"even {n}", [.. Enumerable.Range(0, n).Select(_ => 1 + random.NextDouble())], covered);
        }

        foreach (var (n, covered) in new[] { (24, 0.8458), (40, 0.8748) })
            yield return ($"falling {n}", [.. Enumerable.Range(0, n).Select(i => Math.Pow(0.95, i))], covered);
        yield return ("two sizes 30", [.. Enumerable.Range(0, 30).Select(i => i < 15 ? 1.0 : 0.6)], 0.8247);
    }

    /// <summary>Equal discs on an octagon and on half a disc; both are told by twice the size.</summary>
    public static string Shapes(Instances instances, double milliseconds) =>
        Told("equal discs on octagon and half disc", [.. instances.EqualDiscsInShapes()
            .Select(t => ($"{t.Shape} {t.N}", GapOf(t.Size, [.. Enumerable.Repeat(1.0, t.N)], mm =>
                t.Shape is "octagon" ? new Footprint.Octagon(Mm(mm)) : new Footprint.HalfCircle(Mm(mm)), milliseconds)))]);

    /// <summary>As many equal discs as one shelf of 5 m holds, in a fifth of a second.</summary>
    public static string Large()
    {
        var lines = new List<string>();
        foreach (var (diameter, copies) in new[] { (60, 2000), (105, 2000), (150, 1200), (200, 800) })
        {
            var plan = Solve(Bare(Circle(5000), 1, 100, 0, [Piece("m", Circle(diameter), 80, copies)]), 200);
            lines.Add($"{plan.PlacedWeight} of {copies} of {diameter} mm");
        }

        return $"one round shelf 5 m, 200 ms: {string.Join(", ", lines)}";
    }

    private static string Told(string what, List<(string Name, double Gap)> gaps) =>
        $"{gaps.Count} instances, {what}, shelf = best-known size x (1+gap), least gap that holds all: mean {gaps.Average(g => g.Gap):P4}, worst "
            + $"{gaps.Max(g => g.Gap):P4} " +
        $"({gaps.MaxBy(g => g.Gap).Name}); over {LeastGap:P3}: {string.Join(' ', gaps.Where(g => g.Gap > LeastGap).Select(g => $"{g.Name}:{g.Gap:P3}"))}";

    // By halving: a shelf that holds all is followed by a smaller one, one that does not by a larger.
    private static double GapOf(double size, double[] radii, Func<double, Footprint> shelf, double milliseconds)
    {
        var (fails, holds) = (-1, (int)Math.Ceiling(Math.Log(MostGap / LeastGap) / Math.Log(Step)));
        double GapAt(int step) => LeastGap * Math.Pow(Step, step);
        if (Holds(GapAt(0))) return LeastGap;
        for (fails = 0; holds - fails > 1;)
        {
            var middle = (holds + fails) / 2;
            if (Holds(GapAt(middle))) holds = middle;
            else fails = middle;
        }

        return GapAt(holds);

        bool Holds(double gap)
        {
            var scale = RadiusMm / (size * (1 + gap));
            var pieces = radii.GroupBy(r => r).Select((g, i) => Piece($"{i}", Circle((2 * g.Key * scale) - KeptMm), 50, g.Count())).ToList();
            return Solve(Bare(shelf((2 * RadiusMm) + KeptMm), 1, 100, 0, pieces), milliseconds).Unplaced.Count == 0;
        }
    }
}
