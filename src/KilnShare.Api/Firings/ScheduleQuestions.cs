using FluentValidation;
using KilnShare.Api.Cones;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Firings;

/// <summary>The ware a schedule has to be kind to.</summary>
public sealed record ScheduleWareContract
{
    /// <summary>The thickest wall in the load; absent: not known, and then no rate is checked against it.</summary>
    /// <example>12</example>
    public double? ThickestWallMm { get; init; }

    /// <summary>What it has been fired to.</summary>
    /// <example>greenware</example>
    public required Stage Stage { get; init; }

    /// <summary>How dry greenware is.</summary>
    /// <example>dry</example>
    public Dryness? Dryness { get; init; }

    /// <summary>In Core's terms.</summary>
    public ScheduleWare ToCore() => new(ThickestWallMm, Stage, Dryness);
}

/// <summary>A schedule to look ahead on.</summary>
public sealed record ScheduleForecastQuestion
{
    /// <summary>The schedule; every segment needs its rate.</summary>
    public required ScheduleContract Schedule { get; init; }

    /// <summary>Which cones are asked about.</summary>
    /// <example>selfSupporting</example>
    public ConeSeries Series { get; init; } = ConeSeries.SelfSupporting;

    /// <summary>What is in the kiln; absent: nothing is judged.</summary>
    public ScheduleWareContract? Ware { get; init; }
}

/// <summary>One passing of a key temperature.</summary>
public sealed record SchedulePassingContract
{
    /// <summary>Short name.</summary>
    /// <example>quartz</example>
    public required string Name { get; init; }

    /// <summary>What happens.</summary>
    /// <example>quartz changes size at once</example>
    public required string What { get; init; }

    /// <summary>Lower end, °C.</summary>
    /// <example>573</example>
    public required double FromC { get; init; }

    /// <summary>Upper end, °C.</summary>
    /// <example>573</example>
    public required double ToC { get; init; }

    /// <summary>On the way up, or down.</summary>
    public required bool Climbing { get; init; }

    /// <summary>When it begins, from switching on.</summary>
    public required double FromSeconds { get; init; }

    /// <summary>When it ends.</summary>
    public required double ToSeconds { get; init; }

    /// <summary>The steepest rate within it.</summary>
    public required double FastestCPerHour { get; init; }

    /// <summary>The fastest rate that is kind to the ware; null where ware or wall is not known.</summary>
    public required double? KindCPerHour { get; init; }

    /// <summary>What to do where the schedule is unkind; null where it is not.</summary>
    public required string? Caution { get; init; }

    /// <summary>The contract of a passing.</summary>
    public static SchedulePassingContract Of(SchedulePassing passing) => new()
    {
        Name = passing.Key.Name,
        What = passing.Key.What,
        FromC = passing.Key.FromC,
        ToC = passing.Key.ToC,
        Climbing = passing.Climbing,
        FromSeconds = Math.Round(passing.FromSeconds, 1),
        ToSeconds = Math.Round(passing.ToSeconds, 1),
        FastestCPerHour = Math.Round(passing.FastestCPerHour, 1),
        KindCPerHour = passing.KindCPerHour is { } kind ? Math.Round(kind, 1) : null,
        Caution = passing.Caution,
    };
}

/// <summary>What a schedule will do.</summary>
public sealed record ScheduleForecastAnswer
{
    /// <summary>From switching on to the end of the last segment.</summary>
    /// <example>8.878</example>
    public required double Hours { get; init; }

    /// <summary>What it does to the cones.</summary>
    public required HeatWorkAnswerContract HeatWork { get; init; }

    /// <summary>Where it passes the key temperatures.</summary>
    public required IReadOnlyList<SchedulePassingContract> Passings { get; init; }

    /// <summary>What to change for the ware's sake; empty where nothing is known against it.</summary>
    public required IReadOnlyList<string> Cautions { get; init; }

    /// <summary>The contract of a forecast.</summary>
    public static ScheduleForecastAnswer Of(ScheduleForecast forecast) => new()
    {
        Hours = Math.Round(forecast.Hours, 3),
        HeatWork = HeatWorkAnswerContract.Of(forecast.HeatWork),
        Passings = [.. forecast.Passings.Select(SchedulePassingContract.Of)],
        Cautions = forecast.Cautions,
    };
}

/// <summary>A cone to bring down: by a plain climb with a hold or to a peak, or by a whole schedule whose peak is to be found.</summary>
public sealed record SchedulePeakQuestion
{
    /// <summary>The cone.</summary>
    /// <example>6</example>
    public required Cone Cone { get; init; }

    /// <summary>The series of that cone.</summary>
    /// <example>selfSupporting</example>
    public ConeSeries Series { get; init; } = ConeSeries.SelfSupporting;

    /// <summary>The rate over the last 100 °C of the climb; not with a schedule.</summary>
    /// <example>60</example>
    public double? EndRateCPerHour { get; init; }

    /// <summary>The hold at the peak; then the peak is found.</summary>
    /// <example>15</example>
    public double? HoldMinutes { get; init; }

    /// <summary>The peak; then the hold is found.</summary>
    public double? PeakC { get; init; }

    /// <summary>A schedule whose highest target is to be moved until the cone is just down at its end.</summary>
    public ScheduleContract? Schedule { get; init; }
}

/// <summary>A peak and a hold that just bring a cone down.</summary>
public sealed record SchedulePeakAnswer
{
    /// <summary>The cone with its temperature in the table at 60 °C/h.</summary>
    public required ConeEquivalentContract? Cone { get; init; }

    /// <summary>The peak.</summary>
    /// <example>1210.1</example>
    public required double PeakC { get; init; }

    /// <summary>What makes this answer weaker than it looks; says where it rests on extrapolation.</summary>
    public required IReadOnlyList<string> Warnings { get; init; }

    /// <summary>The hold at the peak; null with a schedule, which has its own.</summary>
    /// <example>15</example>
    public required double? HoldMinutes { get; init; }

    /// <summary>The schedule with its peak moved; null where none was given.</summary>
    public required ScheduleContract? Schedule { get; init; }

    /// <summary>What such a calculation cannot say.</summary>
    public string Caution { get; init; } = HeatWork.Caution;
}

/// <summary>A schedule to be fitted into the time there is.</summary>
public sealed record ScheduleFitQuestion
{
    /// <summary>The schedule; every segment needs its rate.</summary>
    public required ScheduleContract Schedule { get; init; }

    /// <summary>From switching on to the end of the last segment.</summary>
    /// <example>12</example>
    public required double Hours { get; init; }

    /// <summary>What is in the kiln: its walls and dryness must be known.</summary>
    public required ScheduleWareContract Ware { get; init; }

    /// <summary>The fastest this kiln can climb.</summary>
    /// <example>250</example>
    public required double KilnCPerHour { get; init; }
}

/// <summary>A schedule that takes the hours asked for.</summary>
public sealed record ScheduleFitAnswer
{
    /// <summary>The schedule.</summary>
    public required ScheduleContract Schedule { get; init; }

    /// <summary>How long it takes.</summary>
    /// <example>12</example>
    public required double Hours { get; init; }
}

internal sealed class SchedulePeakValidator : AbstractValidator<SchedulePeakQuestion>
{
    public SchedulePeakValidator()
    {
        RuleFor(q => q.EndRateCPerHour).Must((q, rate) => rate is null != q.Schedule is null).WithErrorCode("firings.rate-or-schedule")
            .WithMessage("Give the rate of a plain climb, or a whole schedule, not both.");
        RuleFor(q => q.HoldMinutes).Must((q, hold) => hold is null || (q.PeakC is null && q.Schedule is null)).WithErrorCode("firings.hold-or-peak")
            .WithMessage("Give the hold and the peak is found, or the peak and the hold is found; a schedule has its own.");
        RuleFor(q => q.PeakC).Must((q, peak) => peak is null || q.Schedule is null).WithErrorCode("firings.hold-or-peak")
            .WithMessage("The peak of a schedule is what is found: leave this out, or leave the schedule out.");
    }
}

internal sealed class ScheduleFitValidator : AbstractValidator<ScheduleFitQuestion>
{
    public ScheduleFitValidator()
    {
        RuleFor(q => q.KilnCPerHour).InclusiveBetween(1, FiringSchedule.FastestRateCPerHour)
            .WithMessage($"Takes a rate from 1 to {FiringSchedule.FastestRateCPerHour} °C/h.");
    }
}
