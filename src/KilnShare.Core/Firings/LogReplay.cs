using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>Looks through a finished log again as it was looked at while it ran.</summary>
public static class LogReplay
{
    private const double LookEverySeconds = 600;
    private const double LeastStepSeconds = 60;

    // A look costs as much as the log up to it is long; a long log is looked at less often and less finely.
    private const int MostLooks = 300;
    private const int MostSamples = 3_000;

    /// <summary>
    /// Every kind of alarm that would have been raised, once, when it was first: up to the end of the schedule, or to the peak without one.
    /// </summary>
    /// <param name="curve">The log.</param>
    /// <param name="plan">What the schedule asked for; null where there was none.</param>
    /// <param name="series">The series of the target cone.</param>
    /// <param name="target">The cone it was meant to bring down.</param>
    public static IReadOnlyList<LogAlarm> Alarms(LogCurve curve, TemperatureHistory? plan, ConeSeries series, Cone target)
    {
        var history = curve.History;
        var (first, last) = (history.Seconds[0], LastLook(history, plan));
        var points = Thinned(history, Math.Max(LeastStepSeconds, (last - first) / MostSamples));
        var every = Math.Max(LookEverySeconds, (last - first) / MostLooks);
        var raised = new Dictionary<LogAlarmKind, LogAlarm>();
        for (var now = first + every; now <= last; now += every)
        {
            var seen = points.TakeWhile(p => p.Seconds <= now).ToArray();
            if (!TemperatureHistory.Of([.. seen.Select(p => p.Seconds)], [.. seen.Select(p => p.Celsius)]).TryGet(out var soFar, out _)) continue;
            if (!LogWatch.Of(soFar, plan, series, target, now).TryGet(out var watch, out _)) return [];
            foreach (var alarm in watch.Alarms) raised.TryAdd(alarm.Kind, alarm);
        }
        return [.. raised.Values.OrderBy(a => a.SinceSeconds)];
    }

    private static double LastLook(TemperatureHistory history, TemperatureHistory? plan) =>
        Math.Min(history.Seconds[^1], plan?.Seconds[^1] ?? history.Seconds[history.ClimbEndIndex]);

    private static List<(double Seconds, double Celsius)> Thinned(TemperatureHistory history, double stepSeconds)
    {
        var points = new List<(double Seconds, double Celsius)>();
        for (var i = 0; i < history.Seconds.Length; i++)
            if (points.Count == 0 || history.Seconds[i] - points[^1].Seconds >= stepSeconds)
                points.Add((history.Seconds[i], history.Celsius[i]));
        return points;
    }
}
