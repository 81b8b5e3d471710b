using static KilnShare.Benchmarks.Loading.Kiln;

namespace KilnShare.Benchmarks.Loading;

/// <summary>Rectangles on round and rectangular shelves.</summary>
internal static class RectangleMeasures
{
    private const double UnitMm = 100;

    // Pieces are so much smaller than the instance says that the 5 µm kept between them cost nothing.
    private const double LessMm = 0.02;

    /// <summary>Rectangles on one round shelf; priority is the area, or 1 where copies are counted.</summary>
    public static string InCircle(Instances instances, double milliseconds)
    {
        var area = new List<double>();
        var count = new List<double>();
        var lines = new List<string>();
        foreach (var (name, radius, items, turn, byCount, best) in instances.RectanglesInCircle().Where((_, i) => i % Every == Skip % Every))
        {
            var pieces = items.Select((item, i) => Piece(
                $"{i}", Rectangle((item.W * UnitMm) - LessMm, (item.D * UnitMm) - LessMm), 50, 1, byCount
                    ? 1 : decimal.Round((decimal)(item.W * item.D), 4), turn)).ToList();
            var plan = Solve(Bare(Circle(2 * radius * UnitMm), 1, 100, 0, pieces), milliseconds);
            var share = (double)plan.PlacedWeight / best;
            (byCount ? count : area).Add(share);
            if (share < 0.97) lines.Add($"{name} {share:P1}");
        }

        return $"rectangles on one round shelf: area {Told(area)}, count {Told(count)} of best known; {string.Join(", ", lines)}";
    }

    private static string Told(List<double> shares) => shares.Count == 0 ? "not sampled" : $"{shares.Average():P2} (worst {shares.Min():P1})";

    /// <summary>Bins as levels of rectangular shelves without posts, pieces of one height and not turned: levels used over best known.</summary>
    public static string Bins(Instances instances, double milliseconds, int every)
    {
        int used = 0, best = 0;
        var worse = new List<string>();
        var bins = instances.RectangleBins().Where((_, i) => i % (every * Every) == 0).ToList();
        foreach (var (name, w, d, items, known) in bins)
        {
            var unit = 1000 / w;
            var shelves = known + Math.Max(3, known / 5);
            var pieces = items.Select((item, i) => Piece($"{i}", Rectangle((item.W * unit) - LessMm, (item.D * unit) - LessMm), 19, 1, 1, false)).ToList();
            int LevelsIn(double time) =>
                Solve(Bare(Rectangle(w * unit, d * unit), shelves, 20 * shelves, 0, pieces), time) is { Unplaced.Count: 0 } plan ? plan.Shelves.Count
                    : shelves + 1;
            // What is best in a tenth of the time needs no more.
            var levels = LevelsIn(milliseconds / 10);
            if (levels > known) levels = LevelsIn(milliseconds);
            used += levels;
            best += known;
            if (levels > known) worse.Add($"{name.Split('/')[^1]} {levels}/{known}");
        }

        return $"{bins.Count} bin-packing instances as levels: {used} levels, best known {best}: +{((double)used / best) - 1:P2}; {string.Join(", ", worse)}";
    }
}
