using KilnShare.Api.Cones;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>Something to go and look at. It is no safety device.</summary>
public sealed record LogAlarmContract
{
    /// <summary>What it looks like.</summary>
    /// <example>stall</example>
    public required LogAlarmKind Kind { get; init; }

    /// <summary>Since when.</summary>
    public required Instant Since { get; init; }

    /// <summary>What is seen, what it may be and what to do.</summary>
    public required string Message { get; init; }

    /// <summary>The contract of an alarm.</summary>
    public static LogAlarmContract Of(LogAlarm alarm, Instant start) =>
        new() { Kind = alarm.Kind, Since = start + Duration.FromSeconds(alarm.SinceSeconds), Message = alarm.Message };
}

/// <summary>Where a running firing stands.</summary>
public sealed record FiringProgressAnswer
{
    /// <summary>When the firing began.</summary>
    public required Instant StartedAt { get; init; }

    /// <summary>The last reading.</summary>
    public required Instant At { get; init; }

    /// <summary>Its temperature.</summary>
    public required double Celsius { get; init; }

    /// <summary>The cone to bring down, with its temperature at 60 °C/h.</summary>
    public required ConeEquivalentContract? TargetCone { get; init; }

    /// <summary>How far it has come; 1 is down.</summary>
    public required double TargetProgress { get; init; }

    /// <summary>How far it has bent, as one would see it through the spy hole.</summary>
    public required ConeBendContract TargetBend { get; init; }

    /// <summary>True once it is down by the readings.</summary>
    public required bool TargetIsDown { get; init; }

    /// <summary>When it was down, or will be by the rest of the schedule (without one, by the present climb); null where it will not be.</summary>
    public required Instant? TargetDownAt { get; init; }

    /// <summary>When the schedule ends if the kiln keeps to it; null without a schedule.</summary>
    public required Instant? ScheduleEndsAt { get; init; }

    /// <summary>Above (positive) or below what the schedule asks for now, °C; null without a schedule.</summary>
    public required double? DeviationC { get; init; }

    /// <summary>What the firing amounts to so far.</summary>
    public required HeatWorkEquivalentContract Equivalent { get; init; }

    /// <summary>What to go and look at; empty where nothing is seen, which promises nothing.</summary>
    public required IReadOnlyList<LogAlarmContract> Alarms { get; init; }

    /// <summary>What such a watch cannot do.</summary>
    public string Caution { get; init; } = HeatWork.Caution;
}

/// <summary>What is kept of a firing once its log is complete.</summary>
public sealed record FiringReportAnswer
{
    /// <summary>When the firing began.</summary>
    public required Instant StartedAt { get; init; }

    /// <summary>The log in a few figures.</summary>
    public required LogSummaryContract Summary { get; init; }

    /// <summary>What it did to the cones, cooling included.</summary>
    public required HeatWorkAnswerContract HeatWork { get; init; }

    /// <summary>The cone it was meant to bring down, with its temperature at 60 °C/h.</summary>
    public required ConeEquivalentContract? TargetCone { get; init; }

    /// <summary>How far that cone came; 1 is down.</summary>
    public required double TargetProgress { get; init; }

    /// <summary>How far it bent.</summary>
    public required ConeBendContract TargetBend { get; init; }

    /// <summary>How much hotter (positive) or cooler at the peak the target would have been just down, °C; null where too far to be trusted.</summary>
    public required double? DegreesFromTarget { get; init; }

    /// <summary>The greatest difference from the schedule up to its end, °C; null without a schedule.</summary>
    public required double? WorstDeviationC { get; init; }

    /// <summary>Where the key temperatures were passed.</summary>
    public required IReadOnlyList<SchedulePassingContract> Passings { get; init; }

    /// <summary>What the log would have had somebody go and look at, looked through again every ten minutes.</summary>
    public required IReadOnlyList<LogAlarmContract> Alarms { get; init; }
}
