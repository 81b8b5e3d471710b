using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>When to start.</summary>
public static class CheapestStartEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapCheapestStart(this RouteGroupBuilder v1) => v1.MapPost("/calculations/cheapest-start", Find)
        .WithTags("Energy").WithName("findCheapestStart").Answers<CheapestStartAnswer>().Refuses(422, 503);

    /// <summary>Find the cheapest start of a firing</summary>
    /// <remarks>
    /// Every quarter of an hour of the window is tried, by the forecast's own power. A firing is not left alone because it is cheap: say in
    /// attended when somebody is there. The tariff goes by UTC unless a zone is given. Stores nothing.
    /// </remarks>
    private static async Task<IResult> Find(CheapestStartQuestion question, SearchGate gate, CancellationToken cancellation)
    {
        var found = await gate.Run(_ => Answer(question), cancellation);
        return found.Then(f => f).TryGet(out var answer, out var refusal) ? TypedResults.Ok(answer) : Problems.Of(refusal);
    }

    private static Result<CheapestStartAnswer> Answer(CheapestStartQuestion question)
    {
        Attendance? attendance = null;
        if (question.Attended is { } attended && !attended.ToCore().TryGet(out attendance, out var unclear)) return unclear;
        if (!question.ToCore().TryGet(out var request, out var refusal)) return refusal;
        var tariff = request.Tariff!;
        if (!FiringEnergy.Forecast(request with { Tariff = null }).TryGet(out var forecast, out refusal)) return refusal;
        var best = CheapestStart.Find(tariff, forecast.Power, new Interval(question.From, question.To), attendance);
        if (best.Refusal is { } none) return none.Pointer == "/window" ? none with { Pointer = "/to" } : none;
        return tariff.Cost(forecast.Power, question.From).Then<CheapestStartAnswer>(atOnce => new CheapestStartAnswer
        {
            StartsAt = best.Value.StartsAt,
            EndsAt = best.Value.StartsAt + Duration.FromSeconds(Math.Round(forecast.Hours * 3600)),
            Cost = TariffCostContract.Of(best.Value.Cost),
            AtOnce = TariffCostContract.Of(atOnce),
            EnergyKwh = EnergyByPartContract.Kwh(forecast.EnergyKwh),
            HalfWidthPercent = Math.Round(forecast.HalfWidthPercent, 1),
            Caution = forecast.Caution,
        });
    }
}
