using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>What a log says in a few figures.</summary>
/// <param name="Readings">How many readings there are.</param>
/// <param name="Missing">How many numbers never came.</param>
/// <param name="SpikesLeftOut">How many readings jumped away and back, and were left out.</param>
/// <param name="LongestSilenceMinutes">The longest time between two readings, min.</param>
/// <param name="FirstAt">The first reading.</param>
/// <param name="LastAt">The last reading.</param>
/// <param name="PeakC">The highest temperature, °C.</param>
/// <param name="PeakAt">When it was first reached.</param>
/// <param name="SteepestClimbCPerHour">The steepest climb over any ten minutes, °C/h; null where the log is shorter.</param>
public sealed record LogSummary(
    int Readings,
    long Missing,
    int SpikesLeftOut,
    double LongestSilenceMinutes,
    Instant FirstAt,
    Instant LastAt,
    double PeakC,
    Instant PeakAt,
    double? SteepestClimbCPerHour)
{
    private const double ClimbWindowSeconds = 600;
    private const double SecondsPerHour = 3600;
    private const double SecondsPerMinute = 60;

    /// <summary>The summary of a log.</summary>
    /// <param name="readings">In the order of time.</param>
    /// <param name="gaps">What is missing.</param>
    /// <param name="curve">The curve made of the readings.</param>
    /// <param name="start">When the firing began.</param>
    public static LogSummary Of(IReadOnlyList<LogReading> readings, IReadOnlyList<LogGap> gaps, LogCurve curve, Instant start)
    {
        var history = curve.History;
        var peak = history.Celsius.IndexOf(history.PeakC);
        return new LogSummary(
            readings.Count, gaps.Sum(gap => gap.ToSequence - gap.FromSequence + 1), curve.SpikesLeftOut,
            curve.LongestSilenceSeconds / SecondsPerMinute, readings[0].At, readings[^1].At,
            history.PeakC, start + Duration.FromSeconds(history.Seconds[peak]), SteepestClimb(history));
    }

    private static double? SteepestClimb(TemperatureHistory history)
    {
        double? steepest = null;
        var (from, seconds, celsius) = (0, history.Seconds.ToArray(), history.Celsius.ToArray());
        for (var to = 1; to < seconds.Length; to++)
        {
            while (from + 1 < to && seconds[to] - seconds[from + 1] >= ClimbWindowSeconds) from++;
            var duration = seconds[to] - seconds[from];
            if (duration < ClimbWindowSeconds) continue;
            var rate = (celsius[to] - celsius[from]) / duration * SecondsPerHour;
            if (steepest is null || rate > steepest) steepest = rate;
        }
        return steepest;
    }
}

/// <summary>What is kept of a firing once its log is complete.</summary>
/// <param name="Summary">The log in a few figures.</param>
/// <param name="HeatWork">What it did to the cones, cooling included.</param>
/// <param name="Target">The cone it was meant to bring down.</param>
/// <param name="TargetProgress">How far that cone came; 1 is down.</param>
/// <param name="DegreesFromTarget">
/// How much hotter (positive) or cooler the same firing should have been to bring the target just down, read off its progress; °C at
/// the peak. Null where it is too far to be trusted.
/// </param>
/// <param name="WorstDeviationC">The greatest difference from the schedule up to its end, °C; null without a schedule.</param>
/// <param name="Passings">Where the key temperatures were passed.</param>
/// <param name="Alarms">What was raised while it ran.</param>
public sealed record LogReport(
    LogSummary Summary,
    HeatWorkAnswer HeatWork,
    Cone Target,
    double TargetProgress,
    double? DegreesFromTarget,
    double? WorstDeviationC,
    IReadOnlyList<SchedulePassing> Passings,
    IReadOnlyList<LogAlarm> Alarms)
{
    private const double PassingStepSeconds = 600;

    /// <summary>The report of a finished firing.</summary>
    /// <param name="log">Its whole log.</param>
    /// <param name="start">When it was switched on.</param>
    /// <param name="plan">What its schedule asked for; null where there was none.</param>
    /// <param name="series">The series of the target cone.</param>
    /// <param name="target">The cone it was meant to bring down.</param>
    /// <param name="raised">The alarms raised while it ran.</param>
    public static Result<LogReport> Of(
        LogAssembly log, Instant start, TemperatureHistory? plan, ConeSeries series, Cone target, IReadOnlyList<LogAlarm> raised)
    {
        var readings = log.Readings;
        if (!LogCurve.Of(readings, start).TryGet(out var curve, out var refusal)
            || !ConeKinetics.Of(series, target).TryGet(out var kinetics, out refusal)
            || !Cones.HeatWork.Of(series, curve.History).TryGet(out var heatWork, out refusal))
            return refusal;
        var reached = heatWork.Cones.First(c => c.Cone == target);
        return new LogReport(
            LogSummary.Of(readings, log.Gaps, curve, start), heatWork, target, reached.Progress,
            DegreesFrom(kinetics, reached.Progress, curve.History.PeakC), plan is null ? null : WorstDeviation(curve.History, plan),
            Smoothed(curve) is { } smooth ? SchedulePassings.Of(smooth, null) : [], raised);
    }

    /// <summary>How much hotter or cooler at the peak that progress would be 1, °C.</summary>
    /// <remarks>Source: progress grows as exp(−E/RT), so ln(progress) = E/RT²·ΔT. Accuracy: first order, a tenth of itself at 30 °C.</remarks>
    private static double? DegreesFrom(ConeKinetics kinetics, double progress, double peakC)
    {
        var kelvin = peakC + ConeKinetics.ZeroCelsiusK;
        var degrees = -Math.Log(progress) * kelvin * kelvin / kinetics.ActivationKelvin;
        return Math.Abs(degrees) <= Cones.HeatWork.TrustedWithinC ? degrees : null;
    }

    private static double WorstDeviation(TemperatureHistory log, TemperatureHistory plan)
    {
        var worst = 0.0;
        for (var i = 0; i < log.Seconds.Length && log.Seconds[i] <= plan.Seconds[^1]; i++)
        {
            var deviation = log.Celsius[i] - plan.At(log.Seconds[i]);
            if (Math.Abs(deviation) > Math.Abs(worst)) worst = deviation;
        }
        return worst;
    }

    // Rates between single readings are noise; over ten minutes they are the kiln's.
    private static TemperatureHistory? Smoothed(LogCurve curve)
    {
        var samples = curve.Every(PassingStepSeconds, double.PositiveInfinity);
        return TemperatureHistory.Of([.. samples.Select(s => s.AtSeconds)], [.. samples.Select(s => s.Celsius!.Value)]).TryGet(out var smooth, out _)
            ? smooth
            : null;
    }
}
