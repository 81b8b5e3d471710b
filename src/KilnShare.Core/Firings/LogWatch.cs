using KilnShare.Core.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>Where a running firing stands.</summary>
/// <param name="AtSeconds">The last reading, s from the start.</param>
/// <param name="Celsius">Its temperature, °C.</param>
/// <param name="TargetProgress">How far the target cone has come; 1 is down.</param>
/// <param name="TargetDownAtSeconds">
/// When the target cone was down, or will be by the rest of the schedule, s from the start; null where it will not be, or where there
/// is nothing to tell by.
/// </param>
/// <param name="DeviationC">Above (positive) or below what the schedule asks for now, °C; null without a schedule.</param>
/// <param name="Equivalent">What the firing amounts to so far.</param>
/// <param name="Alarms">What to go and look at; empty where nothing is seen, which promises nothing.</param>
public sealed record LogWatch(
    double AtSeconds,
    double Celsius,
    double TargetProgress,
    double? TargetDownAtSeconds,
    double? DeviationC,
    HeatWorkEquivalent Equivalent,
    IReadOnlyList<LogAlarm> Alarms)
{
    // A kiln so near its schedule is taken to follow it from this moment on; else from where it is, later.
    private const double OnScheduleC = 10;

    private const double LongestLookAheadSeconds = 24 * 3600;
    private const double SecondsPerHour = 3600;

    /// <summary>How far the target cone has bent.</summary>
    public ConeBend TargetBend { get; init; }

    /// <summary>Looks at a running firing.</summary>
    /// <param name="log">Its readings so far, s from switching on.</param>
    /// <param name="plan">What the schedule asks for, s from switching on; null where there is none.</param>
    /// <param name="series">The series of the target cone.</param>
    /// <param name="target">The cone to bring down.</param>
    /// <param name="nowSeconds">The present moment, s from switching on.</param>
    public static Result<LogWatch> Of(TemperatureHistory log, TemperatureHistory? plan, ConeSeries series, Cone target, double nowSeconds)
    {
        if (ConeKinetics.Of(series, target).Refusal is { } refusal) return refusal;
        var meter = HeatWorkMeter.Of(series).Value;
        var index = meter.IndexOf(target);
        for (var i = 0; i < log.Seconds.Length; i++) meter.Add(log.Seconds[i], log.Celsius[i]);
        var progress = meter.ProgressOf(index);
        var equivalent = HeatWork.EquivalentOf(ProgressOf(meter));
        Cone? harder = equivalent.Down is { } down && down > target ? down : null;
        var view = new LogView(log, plan, nowSeconds, target, harder);
        return new LogWatch(
            view.LastSeconds, view.LastC, progress, meter.DownAtSeconds(index) ?? LookAhead(meter, index, plan, view),
            view.PlannedC is { } planned ? view.LastC - planned : null, equivalent, [.. LogAlarms.Of(view)])
        {
            TargetBend = ConeBend.Of(meter.Kinetics[index], progress),
        };
    }

    private static ConeProgress[] ProgressOf(HeatWorkMeter meter) =>
        [.. meter.Kinetics.Select((k, i) => new ConeProgress(k.Cone, meter.ProgressOf(i), meter.DownAtSeconds(i), null))];

    // Carries the meter on along the rest of the schedule, or along the present slope where there is none.
    private static double? LookAhead(HeatWorkMeter meter, int target, TemperatureHistory? plan, LogView view)
    {
        if (plan is not null)
        {
            var from = Math.Abs(view.LastC - plan.At(view.LastSeconds)) <= OnScheduleC ? view.LastSeconds : Rejoins(plan, view);
            var late = view.LastSeconds - from;
            for (var i = 0; i < plan.Seconds.Length; i++)
                if (plan.Seconds[i] > from)
                    meter.Add(plan.Seconds[i] + late, plan.Celsius[i]);
        }
        else if (view.SlopeCPerHour is > 0 and { } slope)
        {
            var ahead = Math.Min(LongestLookAheadSeconds, (TemperatureHistory.HighestC - view.LastC) / slope * SecondsPerHour);
            if (ahead > 0) meter.Add(view.LastSeconds + ahead, view.LastC + slope * ahead / SecondsPerHour);
        }
        return meter.DownAtSeconds(target);
    }

    // The moment on the schedule's way up at which it asks for the present temperature; its start where it never does.
    private static double Rejoins(TemperatureHistory plan, LogView view)
    {
        for (var i = 1; i < plan.Seconds.Length; i++)
            if (plan.Celsius[i - 1] <= view.LastC && view.LastC < plan.Celsius[i])
                return plan.Seconds[i - 1]
                    + (view.LastC - plan.Celsius[i - 1]) / (plan.Celsius[i] - plan.Celsius[i - 1]) * (plan.Seconds[i] - plan.Seconds[i - 1]);
        return view.LastC < plan.Celsius[0] ? plan.Seconds[0] : Math.Min(view.LastSeconds, plan.Seconds[^1]);
    }
}
