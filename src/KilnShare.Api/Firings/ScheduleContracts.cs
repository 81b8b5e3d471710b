using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Api.Firings;

/// <summary>One step of a schedule: go to a temperature at a rate, then hold it.</summary>
public readonly record struct SegmentContract
{
    /// <summary>Positive up or down; absent: as fast as the kiln can.</summary>
    /// <example>60</example>
    public double? RateCPerHour { get; init; }

    /// <summary>The temperature to reach.</summary>
    /// <example>1222</example>
    public required double ToC { get; init; }

    /// <summary>How long to stay there.</summary>
    /// <example>0</example>
    public double HoldMinutes { get; init; }
}

/// <summary>Ramps and holds, from the temperature the kiln stands at when it is switched on.</summary>
public record ScheduleContract
{
    /// <summary>Temperature at the start.</summary>
    /// <example>20</example>
    public required double StartC { get; init; }

    /// <summary>Steps, in order.</summary>
    public required IReadOnlyList<SegmentContract> Segments { get; init; }

    /// <summary>In Core's terms.</summary>
    public FiringSchedule ToCore() => new(StartC, [.. Segments.Select(s => new Segment(s.RateCPerHour, s.ToC, s.HoldMinutes))]);

    /// <summary>The contract of a schedule.</summary>
    public static ScheduleContract Of(FiringSchedule schedule) => new() { StartC = schedule.StartC, Segments = SegmentsOf(schedule) };

    /// <summary>The contracts of its segments.</summary>
    public static IReadOnlyList<SegmentContract> SegmentsOf(FiringSchedule schedule) =>
        [.. schedule.Segments.Select(s => new SegmentContract { RateCPerHour = s.RateCPerHour, ToC = s.ToC, HoldMinutes = s.HoldMinutes })];

    /// <summary>A refusal of a schedule that stands at <c>schedule</c> in its question, in words that fit a question without a kiln.</summary>
    internal static Refusal Place(Refusal refusal) => refusal.Code switch
    {
        "firings.rate-needs-kiln" => refusal.Under("/schedule") with
        {
            Message = "A segment goes as fast as the kiln can, so a kiln is needed to tell how fast that is. "
                + "Ask /v1/calculations/firing-energy, which takes the kiln, or give a rate.",
        },
        "cones.history-too-long" => refusal with
        {
            Pointer = "/schedule/segments",
            Message = $"The schedule takes more than {TemperatureHistory.LongestSeconds / 86_400:0} days. Shorten its holds, or climb faster.",
        },
        _ when refusal.Code.StartsWith("firings.", StringComparison.Ordinal) && IsInSchedule(refusal.Pointer) => refusal.Under("/schedule"),
        _ => refusal,
    };

    private static bool IsInSchedule(string? pointer) =>
        pointer is not null && (pointer.StartsWith("/segments", StringComparison.Ordinal) || pointer == "/startC");
}

/// <summary>One step of a schedule as a controller in °F takes it.</summary>
public readonly record struct FahrenheitSegmentContract
{
    /// <summary>°F an hour, positive up or down; absent: as fast as the kiln can.</summary>
    /// <example>108</example>
    public double? RateFPerHour { get; init; }

    /// <summary>The temperature to reach.</summary>
    /// <example>2232</example>
    public required double ToF { get; init; }

    /// <summary>How long to stay there.</summary>
    /// <example>0</example>
    public double HoldMinutes { get; init; }
}

/// <summary>Ramps and holds in °F.</summary>
public sealed record FahrenheitScheduleContract
{
    /// <summary>Temperature at the start.</summary>
    /// <example>70</example>
    public required double StartF { get; init; }

    /// <summary>Steps, in order.</summary>
    public required IReadOnlyList<FahrenheitSegmentContract> Segments { get; init; }

    /// <summary>In Core's terms, without rounding.</summary>
    public FiringSchedule ToCore() => FiringSchedule.OfFahrenheit(StartF, [.. Segments.Select(s => new Segment(s.RateFPerHour, s.ToF, s.HoldMinutes))]);

    /// <summary>A schedule in °F; what was entered in °F comes back as it was entered.</summary>
    public static FahrenheitScheduleContract Of(FiringSchedule schedule)
    {
        var (start, segments) = schedule.ToFahrenheit();
        return new()
        {
            StartF = start,
            Segments = [
            .. segments.Select(s => new FahrenheitSegmentContract { RateFPerHour = s.RateCPerHour, ToF = s.ToC, HoldMinutes = s.HoldMinutes })]
        };
    }
}

/// <summary>One schedule in both units.</summary>
public sealed record ScheduleUnitsAnswer
{
    /// <summary>In °C, as every call takes it; unrounded, so that it goes back to the same °F.</summary>
    public required ScheduleContract Celsius { get; init; }

    /// <summary>In °F.</summary>
    public required FahrenheitScheduleContract Fahrenheit { get; init; }

    /// <summary>To the end of the last segment; null where only a kiln can tell.</summary>
    public required double? Hours { get; init; }
}
