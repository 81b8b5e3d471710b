using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Api.Papers;
using KilnShare.Core.Cones;
using KilnShare.Core.Energy;

namespace KilnShare.Api.Energy;

/// <summary>What a firing will take.</summary>
public sealed record FiringEnergyAnswer
{
    /// <summary>Energy from the mains.</summary>
    /// <example>63.4</example>
    public required decimal EnergyKwh { get; init; }

    /// <summary>The true figure is probably within so much of it.</summary>
    /// <example>20</example>
    public required double HalfWidthPercent { get; init; }

    /// <summary>Until the end of the schedule, waiting for the kiln included.</summary>
    /// <example>10.247</example>
    public required double Hours { get; init; }

    /// <summary>From then until cool.</summary>
    public required CoolingHoursContract CoolingHours { get; init; }

    /// <summary>Where the energy goes.</summary>
    public required EnergyByPartContract ByPart { get; init; }

    /// <summary>Where the kiln cannot follow.</summary>
    public required IReadOnlyList<LimitedSpanContract> Limited { get; init; }

    /// <summary>What the firing reaches.</summary>
    public required ReachedContract Reached { get; init; }

    /// <summary>Heating and cooling, in 600 points at the most.</summary>
    public required IReadOnlyList<CurvePointContract> Curve { get; init; }

    /// <summary>By the tariff; null where none was given.</summary>
    public required TariffCostContract? Cost { get; init; }

    /// <summary>What to mind.</summary>
    public required string Caution { get; init; }

    /// <summary>The contract of a forecast.</summary>
    public static FiringEnergyAnswer Of(EnergyForecast forecast, ConeSeries series)
    {
        var energyKwh = EnergyByPartContract.Kwh(forecast.EnergyKwh);
        return new()
        {
            EnergyKwh = energyKwh,
            HalfWidthPercent = Math.Round(forecast.HalfWidthPercent, 1),
            Hours = Math.Round(forecast.Hours, 3),
            CoolingHours = new CoolingHoursContract { To120C = Rounded(forecast.CoolingHoursTo120C), To60C = Rounded(forecast.CoolingHoursTo60C) },
            ByPart = EnergyByPartContract.Of(forecast.ByPart, energyKwh),
            Limited = [.. forecast.Limited.Select(SpanOf)],
            Reached = new ReachedContract { PeakC = Math.Round(forecast.PeakC, 1), Equivalent = EquivalentOf(forecast, series) },
            Curve = [.. forecast.Curve.Select(PointOf)],
            Cost = forecast.Cost is { } cost ? TariffCostContract.Of(cost) : null,
            Caution = forecast.Caution,
        };
    }

    private static double? Rounded(double? hours) => hours is { } known ? Math.Round(known, 3) : null;

    private static LimitedSpanContract SpanOf(LimitedSpan span) => new()
    {
        FromSeconds = Math.Round(span.FromSeconds, 1),
        ToSeconds = Math.Round(span.ToSeconds, 1),
        ShortC = Math.Round(span.ShortC, 1),
        Cooling = span.Cooling,
    };

    private static HeatWorkEquivalentContract? EquivalentOf(EnergyForecast forecast, ConeSeries series) =>
        HeatWork.Of(series, forecast.History).TryGet(out var heatWork, out _) ? HeatWorkEquivalentContract.Of(heatWork.Equivalent) : null;

    private static CurvePointContract PointOf(CurvePoint point) => new()
    {
        AtSeconds = Math.Round(point.AtSeconds, 1),
        Celsius = Math.Round(point.Celsius, 1),
        Kw = Math.Round(point.Kw, 3),
    };
}

/// <summary>Energy forecasts.</summary>
public static class FiringEnergyEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapFiringEnergy(this RouteGroupBuilder v1)
    {
        var energy = v1.MapGroup("/calculations/firing-energy").WithTags("Energy");
        energy.MapPost("", Forecast).WithName("forecastFiringEnergy").Answers<FiringEnergyAnswer>().Refuses(422, 503);
        energy.MapPost("/picture", Draw).WithName("drawFiringEnergyForecast").AnswersSvg().Refuses(422, 503);
    }

    /// <summary>Forecast a firing's energy, hours and cost</summary>
    /// <remarks>
    /// By a thermal model of kiln, ware, furniture and water, within 20 % until the kiln's own firings are learnt. Energy counts until the
    /// elements last switch off. The tariff goes by UTC unless a zone is given. Stores nothing.
    /// </remarks>
    private static async Task<IResult> Forecast(FiringEnergyQuestion question, SearchGate gate, CancellationToken cancellation)
    {
        if (!question.ToCore().TryGet(out var request, out var refusal)) return Problems.Of(refusal);
        return (await gate.Run(_ => FiringEnergy.Forecast(request), cancellation)).Then(f => f).TryGet(out var found, out refusal)
            ? TypedResults.Ok(FiringEnergyAnswer.Of(found, question.Series)) : Problems.Of(refusal);
    }

    /// <summary>Draw a forecast's power and temperature over time</summary>
    /// <remarks>Takes what the forecast takes and answers with a picture (image/svg+xml).</remarks>
    private static async Task<IResult> Draw(FiringEnergyQuestion question, HttpContext context, SearchGate gate, CancellationToken cancellation)
    {
        if (!question.ToCore().TryGet(out var request, out var refusal)) return Problems.Of(refusal);
        return (await gate.Run(_ => FiringEnergy.Forecast(request), cancellation)).Then(f => f).TryGet(out var found, out refusal)
            ? EnergyPicture.Answer(context, new EnergyDrawing("Forecast of the firing", found)) : Problems.Of(refusal);
    }
}
