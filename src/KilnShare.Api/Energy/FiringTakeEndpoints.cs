using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Firings;
using KilnShare.Api.Papers;
using KilnShare.Api.Studios;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using KilnShare.Storage.Energy;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>What a firing took, beside what it was forecast to take.</summary>
public static class FiringTakeEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapFiringTakes(this RouteGroupBuilder studio)
    {
        var firing = studio.MapGroup("/firings/{firingId:guid}").WithTags("Energy");
        firing.MapGet("/energy", Read).WithName("readFiringEnergy").Answers<FiringTakeAnswer>().Refuses(422);
        firing.MapGet("/energy.svg", Draw).WithName("drawFiringEnergy").AnswersSvg().Refuses(422);
        firing.MapGet("/unmetered-energy", ReadHand).WithName("readUnmeteredEnergy").Answers<UnmeteredEnergyContract>();
        firing.MapPut("/unmetered-energy", WriteHand).WithName("writeUnmeteredEnergy").Answers<UnmeteredEnergyContract>().Refuses(409, 422);
    }

    /// <summary>Read what a firing took</summary>
    /// <remarks>
    /// In any interval within what was read: from and to, as instants. Between two readings even power is taken, and interpolated says so. The
    /// forecast is that of its schedule in its kiln as learnt, with what really went in, or what is booked.
    /// </remarks>
    private static async Task<IResult> Read(
        Guid firingId, Caller caller, KilnShareDb db, LearntKilns memory, string? from, string? to, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (!InstantOf(from, "from").TryGet(out var start, out var unread) || !InstantOf(to, "to").TryGet(out var end, out unread)) return Problems.Of(unread);
        var (found, known) = await ForecastOf(db, memory, firing, cancellation);
        var forecast = found is null ? null : ContractOf(found, known!);
        var isRead = (await FiringTakes.Read(db, firing, cancellation)).TryGet(out var take, out var refusal);
        if (!isRead) return refusal!.Code == "energy.not-metered" && from is null && to is null ? TypedResults.Ok(Unread(forecast)) : Problems.Of(refusal);
        var (first, last) = (start.At ?? take!.From, end.At ?? take!.To);
        if (start.At is null && end.At is null) return TypedResults.Ok(Answer(take!, new MeteredEnergy(take!.Kwh, take.Interpolated), first, last, forecast));
        return take!.Between(first, last, await StudioZone.Of(db, cancellation)).TryGet(out var part, out refusal)
            ? TypedResults.Ok(Answer(take, part, first, last, forecast)) : Problems.Of(refusal);
    }

    /// <summary>Draw power and temperature over time</summary>
    /// <remarks>Temperature above, forecast and log; power below, forecast and as read. Answers with a picture (image/svg+xml).</remarks>
    private static async Task<IResult> Draw(
        Guid firingId, Caller caller, HttpContext context, KilnShareDb db, LearntKilns memory, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        var (forecast, _) = await ForecastOf(db, memory, firing, cancellation);
        var log = await FiringLog.Read(db, firing, cancellation);
        var measured = log.ToCurve().TryGet(out var curve, out _) ? curve.History : null;
        var take = (await FiringTakes.Read(db, firing, cancellation)).TryGet(out var read, out _) ? read : null;
        if (forecast is null && measured is null && take is null)
            return Problems.Of(Refusal.Rule("energy.nothing-to-draw",
                "Neither a forecast nor a log nor a meter of this firing is known. Name a schedule, write the kiln's wall and power down, or read the meter."));
        var offset = take is null ? 0 : (take.From - log.Start).TotalSeconds;
        var drawing = new EnergyDrawing($"Energy of the firing to cone {firing.Aim.Cone}", forecast, measured, take?.Power, offset, take?.Kwh);
        return drawing.HasTemperature || drawing.HasPower ? EnergyPicture.Answer(context, drawing)
            : Problems.Of(
                Refusal.Rule("energy.only-a-total",
                $"Only the total of this firing is known, {take!.Kwh:0.###} kWh, and a total has no curve. Name its schedule, send its log, or read the "
                    + $"meter in between."));
    }

    /// <summary>Read what was written down of a firing's energy by hand</summary>
    private static async Task<IResult> ReadHand(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        await db.FindAsync<UnmeteredEnergy>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is { } hand
            ? TypedResults.Ok(UnmeteredEnergyContract.Of(hand.Energy)) : Problems.Absent();

    /// <summary>Write a firing's energy down by hand</summary>
    /// <remarks>Where no register is read: hours and duty, power samples, or gas. It counts while the firing has no meter readings.</remarks>
    private static async Task<IResult> WriteHand(
        Guid firingId, UnmeteredEnergyContract body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (firing.State == FiringState.Settled)
            return Problems.Of(Refusal.Conflict("costs.already-settled", "This firing is settled. Its energy is corrected with a new settlement."));
        if (await db.ReadingsThatCount(firing.StudioId).AnyAsync(r => r.FiringId == firing.Id, cancellation))
            return Problems.Of(Refusal.Rule(
                "energy.metered-already", "A meter was read for this firing, and the meter counts. Strike its readings first where they are wrong."));
        var now = clock.GetCurrentInstant();
        if (await db.FindAsync<UnmeteredEnergy>([caller.StudioId, firing.Id], cancellation) is { } hand)
            (hand.Energy, hand.MemberId, hand.WrittenAt) = (body.ToCore(), caller.MemberId, now);
        else db.Add(new UnmeteredEnergy(caller.StudioId, firing.Id, body.ToCore(), caller.MemberId, now));
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.unmetered-energy", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Ok(body);
    }

    private static async Task<(EnergyForecast? Forecast, KnownKiln? Known)> ForecastOf(
        KilnShareDb db, LearntKilns memory, Firing firing, CancellationToken cancellation)
    {
        if (firing.ScheduleId is not { } named) return (null, null);
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        if (await KilnLearning.Read(db, memory, kiln, cancellation) is not { } known) return (null, null);
        var schedule = await db.Set<StudioSchedule>().AsNoTracking().SingleAsync(s => s.StudioId == firing.StudioId && s.Id == named, cancellation);
        return KilnForecasts.Of(kiln, schedule.Schedule, firing.Aim.Kind, known, await FiringWare.KgOf(db, firing, cancellation)) is { } forecast
            && forecast.TryGet(out var found, out _) ? (found, known) : (null, null);
    }

    private static FiringForecastContract ContractOf(EnergyForecast forecast, KnownKiln known) => new()
    {
        EnergyKwh = EnergyByPartContract.Kwh(forecast.EnergyKwh),
        HalfWidthPercent = Math.Round(forecast.HalfWidthPercent, 1),
        Hours = Math.Round(forecast.Hours, 3),
        LearntFrom = known.Learnt.Firings,
        RestsOnWords = known.Sentence,
    };

    private static FiringTakeAnswer Unread(FiringForecastContract? forecast) =>
        new() { EnergyKwh = null, Interpolated = null, Basis = null, From = null, To = null, Forecast = forecast };

    private static FiringTakeAnswer Answer(FiringTake take, MeteredEnergy energy, Instant from, Instant to, FiringForecastContract? forecast) =>
        new() { EnergyKwh = energy.Kwh, Interpolated = energy.Interpolated, Basis = take.Basis, From = from, To = to, Forecast = forecast };

    private static Result<AskedInstant> InstantOf(string? text, string name)
    {
        if (text is null) return new AskedInstant(null);
        return InstantJson.TryParse(text, out var at) ? new AskedInstant(at)
            : Refusal.Invalid("edge.not-an-instant", "Takes an instant such as 2027-03-14T07:00:00Z.", "/" + name);
    }

    private sealed record AskedInstant(Instant? At);
}
