namespace KilnShare.Core.Firings;

/// <summary>What a kiln usually does on one level, learnt from its witness cones.</summary>
/// <param name="Level">The level.</param>
/// <param name="DifferenceC">Usual difference from the target, degrees of the cone table; null where it cannot be told yet.</param>
/// <param name="UncertaintyC">One standard deviation of that difference, °C; null with it.</param>
/// <param name="Firings">How many firings it rests on.</param>
/// <param name="OneSided">How many of them show only that it was hotter, or cooler, than their cones.</param>
/// <param name="Message">The same in words.</param>
public sealed record WitnessHabit(string Level, double? DifferenceC, double? UncertaintyC, int Firings, int OneSided, string Message)
{
    // Of a normal sample: the standard deviation over the median absolute deviation, and the median's error over the mean's.
    private const double DeviationPerMad = 1.4826;
    private const double MedianErrorPerMeanError = 1.2533;

    /// <summary>The usual difference of every level that was seen, in alphabetical order.</summary>
    /// <remarks>
    /// Source: median and median absolute deviation, Huber, Robust Statistics (1981) (from memory): one odd firing does not move them.
    /// A firing that shows one side only counts, at its bound, where its bound lies beyond the median of the others.
    /// Units: °C of the cone table. Valid for: one kiln, loaded alike. Accuracy: never better than one reading divided by the root of
    /// the number of firings.
    /// </remarks>
    public static IReadOnlyList<WitnessHabit> Of(IReadOnlyList<IReadOnlyList<WitnessLevel>> firings) =>
        [.. firings.SelectMany(levels => levels).GroupBy(level => level.Level, StringComparer.Ordinal)
            .OrderBy(group => group.Key, StringComparer.Ordinal).Select(group => Of(group.Key, [.. group]))];

    private static WitnessHabit Of(string level, List<WitnessLevel> seen)
    {
        var told = seen.Where(s => s.DifferenceC is not null).ToList();
        var oneSided = seen.Count - told.Count;
        if (told.Count == 0)
            return new WitnessHabit(
                level, null, null, seen.Count, oneSided,
                $"{level}: in {Count(seen.Count)} every cone was down, or none had moved. Set cones harder and softer, "
                    + "so that one falls and one stands.");
        var values = told.Select(s => s.DifferenceC!.Value).ToList();
        var median = Median(values);
        values.AddRange([
            .. seen.Select(s => s.AtLeastC).OfType<double>().Where(low => low > median),
            .. seen.Select(s => s.AtMostC).OfType<double>().Where(high => high < median)]);
        median = Median(values);
        var spread = DeviationPerMad * Median([.. values.Select(v => Math.Abs(v - median))]);
        var reading = Math.Sqrt(told.Average(s => s.UncertaintyC * s.UncertaintyC));
        var factor = values.Count > 2 ? MedianErrorPerMeanError : 1;
        var uncertainty = factor * Math.Max(spread, reading) / Math.Sqrt(values.Count);
        return new WitnessHabit(level, median, uncertainty, seen.Count, oneSided, InWords(level, median, uncertainty, seen.Count));
    }

    private static string InWords(string level, double difference, double uncertainty, int firings)
    {
        var how = Math.Abs(difference) <= uncertainty
            ? "as hot as the target"
            : $"{Math.Abs(difference):0} °C {(difference > 0 ? "hotter" : "cooler")} than the target";
        return $"{level}: usually {how}, give or take {uncertainty:0} °C, from {Count(firings)}."
            + (firings < 3 ? " That is little to go by: keep setting cones." : "");
    }

    private static string Count(int firings) => firings == 1 ? "one firing" : $"{firings} firings";

    private static double Median(List<double> values)
    {
        var sorted = values.Order().ToList();
        var middle = sorted.Count / 2;
        return sorted.Count % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
    }
}
