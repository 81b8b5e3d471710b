using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Api.Firings;

/// <summary>A temperature at a moment.</summary>
public readonly record struct TemperatureReadingContract
{
    /// <summary>Seconds by any clock; each later than the one before.</summary>
    /// <example>0</example>
    public required double AtSeconds { get; init; }

    /// <summary>The temperature then.</summary>
    /// <example>20.1</example>
    public required double Celsius { get; init; }
}

/// <summary>A temperature history whose heat-work is asked for: a schedule, or readings, never both.</summary>
public sealed record HeatWorkQuestion
{
    /// <summary>Which cones are asked about.</summary>
    /// <example>selfSupporting</example>
    public ConeSeries Series { get; init; } = ConeSeries.SelfSupporting;

    /// <summary>What the kiln is to do.</summary>
    public ScheduleContract? Schedule { get; init; }

    /// <summary>What it did.</summary>
    public IReadOnlyList<TemperatureReadingContract>? Readings { get; init; }

    /// <summary>The temperatures, as straight lines from point to point.</summary>
    public Result<TemperatureHistory> ToHistory()
    {
        if (Schedule is { } schedule) return schedule.ToCore().ToHistory();
        var (seconds, celsius) = (new double[Readings!.Count], new double[Readings.Count]);
        for (var i = 0; i < seconds.Length; i++) (seconds[i], celsius[i]) = (Readings[i].AtSeconds, Readings[i].Celsius);
        return TemperatureHistory.Of(seconds, celsius);
    }

    /// <summary>A refusal of the history, where it stands in this question.</summary>
    internal Refusal Place(Refusal refusal) => Schedule is null ? refusal : ScheduleContract.Place(refusal);
}

/// <summary>What heat does to cones.</summary>
public static class HeatWorkEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapHeatWork(this RouteGroupBuilder v1) => v1.MapPost("/calculations/heat-work", Calculate)
        .WithTags("Cones").WithName("calculateHeatWork").Answers<HeatWorkAnswerContract>().Refuses(422);

    /// <summary>Work out what a schedule or a log does to cones</summary>
    /// <remarks>
    /// Cooling counts too. The rate that decides is the one over the last 100 °C of the climb. Trust it near a cone's tabulated temperature,
    /// and witness cones before it. Stores nothing.
    /// </remarks>
    private static IResult Calculate(HeatWorkQuestion question) =>
        question.ToHistory().Then(history => HeatWork.Of(question.Series, history)).TryGet(out var answer, out var refusal)
            ? TypedResults.Ok(HeatWorkAnswerContract.Of(answer)) : Problems.Of(question.Place(refusal));
}

internal sealed class HeatWorkValidator : AbstractValidator<HeatWorkQuestion>
{
    public HeatWorkValidator()
    {
        RuleFor(q => q.Schedule).Must((q, schedule) => schedule is not null || q.Readings is not null).WithErrorCode("firings.no-history")
            .WithMessage("Give a schedule, or readings.");
        RuleFor(q => q.Readings).Must((q, readings) => readings is null || q.Schedule is null).WithErrorCode("firings.two-histories")
            .WithMessage("Give a schedule or readings, not both: which of them is meant cannot be told.");
    }
}
