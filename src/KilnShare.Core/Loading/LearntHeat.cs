using System.Globalization;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Loading;

/// <summary>Which heights of a kiln fire hotter and which cooler, from what its witness cones taught.</summary>
internal static class LearntHeat
{
    // Cones of one number differ by so much from each other. Source: the cone maker's claim.
    private const double ConeToleranceC = 2;

    // Middles of the parts that the words name, of the chamber's height; a level called by a number has the part of its number.
    private static readonly Dictionary<string, double> Words = new(StringComparer.OrdinalIgnoreCase)
    {
        ["floor"] = 1 / 6.0,
        ["bottom"] = 1 / 6.0,
        ["lowest"] = 1 / 6.0,
        ["lower"] = 1 / 3.0,
        ["low"] = 1 / 3.0,
        ["middle"] = 1 / 2.0,
        ["mid"] = 1 / 2.0,
        ["centre"] = 1 / 2.0,
        ["center"] = 1 / 2.0,
        ["high"] = 2 / 3.0,
        ["upper"] = 2 / 3.0,
        ["highest"] = 5 / 6.0,
        ["top"] = 5 / 6.0,
    };

    /// <summary>The zones of a kiln whose levels are known by name only: see <see cref="Locate"/>.</summary>
    public static IReadOnlyList<HeatZone> Zones(Length chamberHeight, IReadOnlyList<WitnessHabit> levels) =>
        Zones(chamberHeight, Locate(chamberHeight, levels));

    /// <summary>
    /// The zones of a kiln whose levels are so high over the floor; none where no level differs from the others by more than is sure.
    /// </summary>
    /// <remarks>
    /// A level reaches halfway to the next; the lowest to the floor, the highest to the lid. It is hot or cool against the middle of all
    /// levels, each counting for the height it reaches over, where it differs from that by more than its own uncertainty (one standard
    /// deviation) and by more than cones of one number do. Valid for: a kiln with two levels or more that cones stood on. Source: none,
    /// common practice.
    /// </remarks>
    public static IReadOnlyList<HeatZone> Zones(Length chamberHeight, IReadOnlyList<(WitnessHabit Level, Length Height)> levels)
    {
        var known = levels.Where(l => l.Level.DifferenceC is not null && l.Height >= Length.Zero && l.Height <= chamberHeight).GroupBy(l => l.Height)
            .OrderBy(g => g.Key)
            .Select(g =>
                (Height: g.Key.Micrometres, Difference: g.Average(l => l.Level.DifferenceC!.Value), Uncertainty: g.Max(l => l.Level.UncertaintyC ?? 0)))
            .ToList();
        if (known.Count < 2) return [];
        var bounds = known.Zip(known.Skip(1), (a, b) => (a.Height + b.Height) / 2).Prepend(0).Append(chamberHeight.Micrometres).ToList();
        var middle = known.Select((l, i) => l.Difference * (bounds[i + 1] - bounds[i])).Sum() / chamberHeight.Micrometres;
        var zones = new List<HeatZone>();
        for (var i = 0; i < known.Count; i++)
        {
            var (_, difference, uncertainty) = known[i];
            if (Math.Abs(difference - middle) <= Math.Max(uncertainty, ConeToleranceC)) continue;
            var zone = new HeatZone(new Length(bounds[i]), new Length(bounds[i + 1]), difference > middle ? Heat.Hot : Heat.Cool);
            if (zones.Count > 0 && zones[^1].To == zone.From && zones[^1].Heat == zone.Heat) zones[^1] = zones[^1] with { To = zone.To };
            else zones.Add(zone);
        }

        return zones;
    }

    /// <summary>
    /// About how high levels are over the floor, by what studios call them: bottom, lower, middle, upper, top; or, where none is called so, by
    /// their numbers, 1 the lowest. Levels with other names are left out.
    /// </summary>
    public static IReadOnlyList<(WitnessHabit Level, Length Height)> Locate(Length chamberHeight, IReadOnlyList<WitnessHabit> levels)
    {
        Length At(double part) => new((long)(part * chamberHeight.Micrometres));
        var named = levels.Select(l => (Level: l, Part: PartsOf(l.Level).Select(w => Words.GetValueOrDefault(w)).FirstOrDefault(p => p > 0)))
            .Where(l => l.Part > 0).ToList();
        if (named.Count > 0) return [.. named.Select(l => (l.Level, At(l.Part)))];
        var numbered = levels.Select(l => (Level: l, Number: PartsOf(l.Level).Select(NumberOf).FirstOrDefault(n => n > 0)))
            .Where(l => l.Number > 0).ToList();
        var count = numbered.Select(l => l.Number).DefaultIfEmpty(0).Max();
        return [.. numbered.Select(l => (l.Level, At((l.Number - 0.5) / count)))];
    }

    private static string[] PartsOf(string name) =>
        string.Concat(name.Select(c => char.IsAsciiLetterOrDigit(c) ? c : ' ')).Split(' ', StringSplitOptions.RemoveEmptyEntries);

    private static int NumberOf(string word) =>
        word.Length <= 2 && word.All(char.IsAsciiDigit) ? int.Parse(word, CultureInfo.InvariantCulture) : 0;
}
