using KilnShare.Core.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>A point of a drawn line.</summary>
/// <param name="AtHours">From switching on, h.</param>
/// <param name="Value">°C, or progress of a cone.</param>
public readonly record struct CurvePoint(double AtHours, double Value);

/// <summary>The progress of one cone, to be drawn.</summary>
/// <param name="Cone">The cone.</param>
/// <param name="Progress">From 0 to 1; drawn until it is down.</param>
/// <param name="DownAtHours">When it was down; null where it is not.</param>
public sealed record ConeLine(Cone Cone, IReadOnlyList<CurvePoint> Progress, double? DownAtHours)
{
    /// <summary>How far it has bent at the end.</summary>
    public ConeBend Bend { get; init; }
}

/// <summary>Everything a picture of a firing shows, without any drawing in it.</summary>
/// <param name="Measured">The log, thinned without losing a peak; empty where there is none.</param>
/// <param name="Planned">The corners of the schedule; empty where there is none.</param>
/// <param name="Marks">Key temperatures within the picture.</param>
/// <param name="Passings">When they are passed, by the log where there is one, else by the schedule.</param>
/// <param name="Cones">Progress of the cones asked for, on the same line.</param>
/// <param name="Peak">The highest point of that line.</param>
public sealed record FiringCurve(
    IReadOnlyList<CurvePoint> Measured,
    IReadOnlyList<CurvePoint> Planned,
    IReadOnlyList<KeyTemperature> Marks,
    IReadOnlyList<SchedulePassing> Passings,
    IReadOnlyList<ConeLine> Cones,
    CurvePoint Peak)
{
    /// <summary>Fewest points a line may be thinned to.</summary>
    public const int FewestPoints = 16;

    private const double SecondsPerHour = 3600;

    // A cone's progress is drawn so often.
    private const double ProgressStepSeconds = 120;

    /// <summary>The picture's data.</summary>
    /// <param name="measured">The log; null where there is none.</param>
    /// <param name="planned">The schedule's corners; null where there is none. One of the two is needed.</param>
    /// <param name="series">The series of the cones.</param>
    /// <param name="cones">Whose progress is shown.</param>
    /// <param name="mostPoints">Most points of the measured line.</param>
    public static Result<FiringCurve> Of(
        TemperatureHistory? measured, TemperatureHistory? planned, ConeSeries series, IReadOnlyList<Cone> cones, int mostPoints)
    {
        if (mostPoints < FewestPoints) throw new ArgumentOutOfRangeException(nameof(mostPoints), $"At least {FewestPoints} points.");
        var shown = measured ?? planned ?? throw new ArgumentNullException(nameof(planned), "A picture needs a log or a schedule.");
        if (!ConeLines(shown, series, cones).TryGet(out var lines, out var refusal)) return refusal;
        var (coldest, hottest) = Extent(measured, planned);
        var peak = shown.Celsius.IndexOf(shown.PeakC);
        return new FiringCurve(
            measured is null ? [] : Thinned(measured, mostPoints),
            planned is null ? [] : Points(planned, Enumerable.Range(0, planned.Seconds.Length)),
            [.. KeyTemperatures.All.Where(key => key.ToC >= coldest && key.FromC <= hottest)],
            SchedulePassings.Of(shown, null),
            lines,
            new CurvePoint(shown.Seconds[peak] / SecondsPerHour, shown.PeakC));
    }

    private static (double Coldest, double Hottest) Extent(TemperatureHistory? measured, TemperatureHistory? planned)
    {
        double coldest = double.PositiveInfinity, hottest = double.NegativeInfinity;
        foreach (var history in new[] { measured, planned }.OfType<TemperatureHistory>())
            foreach (var c in history.Celsius)
                (coldest, hottest) = (Math.Min(coldest, c), Math.Max(hottest, c));
        return (coldest, hottest);
    }

    // Of every bucket of neighbours the lowest and the highest are kept, so that no peak is lost.
    private static List<CurvePoint> Thinned(TemperatureHistory history, int most)
    {
        var count = history.Seconds.Length;
        if (count <= most) return Points(history, Enumerable.Range(0, count));
        var buckets = (most - 2) / 2;
        var kept = new SortedSet<int> { 0, count - 1 };
        for (var bucket = 0; bucket < buckets; bucket++)
        {
            var (from, to) = ((int)((long)bucket * count / buckets), (int)((long)(bucket + 1) * count / buckets));
            var (lowest, highest) = (from, from);
            for (var i = from; i < to; i++)
            {
                if (history.Celsius[i] < history.Celsius[lowest]) lowest = i;
                if (history.Celsius[i] > history.Celsius[highest]) highest = i;
            }
            kept.Add(lowest);
            kept.Add(highest);
        }
        return Points(history, kept);
    }

    private static List<CurvePoint> Points(TemperatureHistory history, IEnumerable<int> indexes)
    {
        var points = new List<CurvePoint>();
        foreach (var i in indexes) points.Add(new CurvePoint(history.Seconds[i] / SecondsPerHour, history.Celsius[i]));
        return points;
    }

    private static Result<IReadOnlyList<ConeLine>> ConeLines(TemperatureHistory history, ConeSeries series, IReadOnlyList<Cone> cones)
    {
        if (cones.Count == 0) return Array.Empty<ConeLine>();
        foreach (var cone in cones)
            if (ConeKinetics.Of(series, cone).Refusal is { } refusal)
                return refusal;
        var meter = HeatWorkMeter.Of(series).Value;
        var places = cones.Select(meter.IndexOf).ToArray();
        var lines = cones.Select(_ => new List<CurvePoint>()).ToArray();
        var drawn = double.NegativeInfinity;
        foreach (var at in Moments(history))
        {
            meter.Add(at, history.At(at));
            if (at - drawn < ProgressStepSeconds && at < history.Seconds[^1]) continue;
            for (var c = 0; c < lines.Length; c++) Extend(lines[c], at / SecondsPerHour, meter.ProgressOf(places[c]));
            drawn = at;
        }
        return cones.Select((cone, c) => new ConeLine(cone, lines[c], meter.DownAtSeconds(places[c]) / SecondsPerHour)
        {
            Bend = ConeBend.Of(meter.Kinetics[places[c]], meter.ProgressOf(places[c])),
        }).ToArray();
    }

    private static void Extend(List<CurvePoint> line, double hours, double progress)
    {
        if (line.Count == 0 || line[^1].Value < 1) line.Add(new CurvePoint(hours, Math.Min(1, progress)));
    }

    // Every corner, and regular moments between those that lie far apart.
    private static IEnumerable<double> Moments(TemperatureHistory history)
    {
        var corners = history.Seconds.ToArray();
        for (var i = 0; i < corners.Length; i++)
        {
            if (i > 0)
                for (var between = corners[i - 1] + ProgressStepSeconds; between < corners[i]; between += ProgressStepSeconds)
                    yield return between;
            yield return corners[i];
        }
    }
}
