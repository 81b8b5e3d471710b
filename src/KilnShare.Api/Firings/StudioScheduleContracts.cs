using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>A schedule to be kept under a name.</summary>
public record ScheduleBody : ScheduleContract
{
    /// <summary>What the studio calls it.</summary>
    /// <example>slow glaze</example>
    public required string Name { get; init; }

    /// <summary>What it is for and what to mind.</summary>
    /// <example>Mid-range glaze with a short hold.</example>
    public string? Purpose { get; init; }
}

/// <summary>A schedule of the studio.</summary>
public sealed record ScheduleAnswer : ScheduleBody
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>From switching on to the end of the last segment; null where a segment goes as fast as the kiln can.</summary>
    /// <example>10.247</example>
    public required double? Hours { get; init; }

    /// <summary>The highest temperature it asks for.</summary>
    /// <example>1222</example>
    public required double PeakC { get; init; }

    /// <summary>The same in °F.</summary>
    public required FahrenheitScheduleContract Fahrenheit { get; init; }

    /// <summary>When it was written down.</summary>
    public required Instant CreatedAt { get; init; }

    /// <summary>Raised by every edit; also the ETag.</summary>
    public required long Version { get; init; }

    /// <summary>The answer for a schedule.</summary>
    public static ScheduleAnswer Of(StudioSchedule schedule) => new()
    {
        Id = schedule.Id.Value,
        Name = schedule.Name,
        Purpose = schedule.Purpose,
        StartC = schedule.Schedule.StartC,
        Segments = SegmentsOf(schedule.Schedule),
        Hours = HoursOf(schedule.Schedule),
        PeakC = schedule.Schedule.PeakC,
        Fahrenheit = FahrenheitScheduleContract.Of(schedule.Schedule),
        CreatedAt = schedule.CreatedAt,
        Version = schedule.Version,
    };

    /// <summary>Hours to the end of a schedule; null where only a kiln can tell.</summary>
    internal static double? HoursOf(FiringSchedule schedule) => schedule.ToHistory().TryGet(out var history, out _) ? Math.Round(history.Hours, 3) : null;
}

/// <summary>A schedule to begin with, for a usual purpose.</summary>
public sealed record StartingScheduleContract : ScheduleContract
{
    /// <summary>Short name.</summary>
    /// <example>bisque-thin</example>
    public required string Name { get; init; }

    /// <summary>What the firing does.</summary>
    public required FiringKind Kind { get; init; }

    /// <summary>The self-supporting cone it is meant to bring down; null where the programme is published by temperature.</summary>
    public required Cone? Cone { get; init; }

    /// <summary>That cone with its temperature at 60 °C/h.</summary>
    public required ConeEquivalentContract? ConeEquivalent { get; init; }

    /// <summary>What it is for and what to mind.</summary>
    public required string Purpose { get; init; }

    /// <summary>Where its figures come from.</summary>
    public required string Source { get; init; }

    /// <summary>From switching on to the end of the last segment.</summary>
    public required double? Hours { get; init; }

    /// <summary>The contract of a starting schedule.</summary>
    public static StartingScheduleContract Of(StartingSchedule starting) => new()
    {
        Name = starting.Name,
        Kind = starting.Kind,
        Cone = starting.Cone,
        ConeEquivalent = starting.Cone is { } cone ? ConeEquivalentContract.At(ConeSeries.SelfSupporting, cone) : null,
        Purpose = starting.Purpose,
        Source = starting.Source,
        StartC = starting.Schedule.StartC,
        Segments = SegmentsOf(starting.Schedule),
        Hours = ScheduleAnswer.HoursOf(starting.Schedule),
    };
}

internal sealed class FahrenheitScheduleValidator : AbstractValidator<FahrenheitScheduleContract>
{
    public FahrenheitScheduleValidator() => RuleFor(s => s.Segments).AtMost(FiringSchedule.MostSegments);
}

internal sealed class ScheduleBodyValidator : AbstractValidator<ScheduleBody>
{
    public ScheduleBodyValidator()
    {
        RuleFor(s => s.Name).Name();
        RuleFor(s => s.Purpose).Note();
    }
}
