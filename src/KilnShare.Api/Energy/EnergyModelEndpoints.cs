using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Energy;

/// <summary>A metered firing that a kiln was learnt from.</summary>
public sealed record LearntFiringContract
{
    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>What it took.</summary>
    public required decimal MeteredKwh { get; init; }

    /// <summary>What the kiln as learnt would be forecast to take.</summary>
    public required decimal ForecastKwh { get; init; }
}

/// <summary>What a kiln's metered firings taught of it.</summary>
public sealed record EnergyModelAnswer
{
    /// <summary>On how many firings it rests; 0: nothing has been learnt yet.</summary>
    public required int Firings { get; init; }

    /// <summary>Times all heat that leaves by wall and openings.</summary>
    public required double LossFactor { get; init; }

    /// <summary>Power on the plate.</summary>
    public required double RatedKw { get; init; }

    /// <summary>The power its elements give.</summary>
    public required double AvailableKw { get; init; }

    /// <summary>The next firing's energy is probably within so much of the forecast.</summary>
    public required double HalfWidthPercent { get; init; }

    /// <summary>The firings, oldest first.</summary>
    public required IReadOnlyList<LearntFiringContract> RestsOn { get; init; }

    /// <summary>What counts as a firing to learn from.</summary>
    public string Note { get; init; } =
        "Learnt from firings that name a schedule, have a meter reading at the start and at the end, and were not broken off. "
        + "Ware counts by its written masses; all furniture of the kiln is taken to be in, the room at 20 °C.";
}

/// <summary>What has been learnt of a kiln.</summary>
public static class EnergyModelEndpoints
{
    private const double RoomC = 20;
    private const double GramsPerKg = 1_000;

    /// <summary>Maps the routes.</summary>
    public static void MapEnergyModel(this RouteGroupBuilder studio) => studio.MapGet("/kilns/{kilnId:guid}/energy-model", Read)
        .WithTags("Energy").WithName("readEnergyModel").Answers<EnergyModelAnswer>().Refuses(422, 503);

    /// <summary>Read what a kiln's metered firings have taught</summary>
    private static async Task<IResult> Read(Guid kilnId, Caller caller, KilnShareDb db, SearchGate gate, CancellationToken cancellation)
    {
        if (await db.FindAsync<Kiln>([caller.StudioId, new Id<Kiln>(kilnId)], cancellation) is not { } kiln) return Problems.Absent();
        if (KilnForecasts.HeatOf(kiln) is not { } heat)
            return Problems.Of(Refusal.Rule("energy.kiln-not-described", "The wall and rated power of this kiln are not written down, so nothing can be learnt of them."));
        var metered = await MeteredOf(db, kiln, cancellation);
        return await gate.Run(() => Answer(heat, metered), cancellation) is { } answer ? TypedResults.Ok(answer) : SearchGate.Busy();
    }

    private static EnergyModelAnswer Answer(KilnHeat heat, List<(Id<Firing> Id, MeteredFiring Firing)> metered)
    {
        var learnt = LearntKiln.From(heat, [.. metered.Select(m => m.Firing)]);
        var now = learnt.ApplyTo(heat);
        return new EnergyModelAnswer
        {
            Firings = learnt.Firings,
            LossFactor = Math.Round(learnt.Firings == 0 ? heat.LossFactor : learnt.LossFactor, 3),
            RatedKw = heat.RatedKw,
            AvailableKw = Math.Round(learnt.AvailableKw, 2),
            HalfWidthPercent = Math.Round(learnt.HalfWidthPercent, 1),
            RestsOn = [.. metered.Select(m => new LearntFiringContract
            {
                FiringId = m.Id.Value,
                MeteredKwh = EnergyByPartContract.Kwh(m.Firing.MeteredKwh),
                ForecastKwh = EnergyByPartContract.Kwh(ForecastKwh(now, m.Firing)),
            })],
        };
    }

    private static double ForecastKwh(KilnHeat kiln, MeteredFiring firing) =>
        FiringEnergy.Forecast(new FiringEnergyRequest(kiln, firing.Load, firing.AmbientC, firing.Programme)).TryGet(out var forecast, out _) ? forecast.EnergyKwh : 0;

    /// <summary>The newest firings that can be learnt from, oldest first.</summary>
    private static async Task<List<(Id<Firing> Id, MeteredFiring Firing)>> MeteredOf(KilnShareDb db, Kiln kiln, CancellationToken cancellation)
    {
        var rows = await (from firing in db.Set<Firing>().AsNoTracking()
                          join schedule in db.Set<StudioSchedule>() on new { firing.StudioId, Id = firing.ScheduleId } equals new { schedule.StudioId, Id = (Id<StudioSchedule>?)schedule.Id }
                          where firing.StudioId == kiln.StudioId && firing.KilnId == kiln.Id && firing.Outcome != FiringOutcome.Aborted
                              && firing.State != FiringState.Cancelled
                              && db.Set<MeterEntry>().Count(m => m.StudioId == firing.StudioId && m.FiringId == firing.Id) >= 2
                          orderby firing.StartsAt descending
                          select new { firing, schedule.Schedule }).Take(LearntKiln.MostFirings).ToListAsync(cancellation);
        var ids = rows.Select(r => r.firing.Id).ToList();
        var meters = await db.Set<MeterEntry>().AsNoTracking().Where(m => m.StudioId == kiln.StudioId && ids.Contains(m.FiringId)).OrderBy(m => m.ReadAt).ToListAsync(cancellation);
        var loads = await db.Set<LoadItem>().AsNoTracking().Where(i => i.StudioId == kiln.StudioId && ids.Contains(i.FiringId) && i.Fate == LoadFate.Placed).ToListAsync(cancellation);
        var metered = new List<(Id<Firing> Id, MeteredFiring Firing)>();
        foreach (var row in rows.AsEnumerable().Reverse())
        {
            var readings = meters.Where(m => m.FiringId == row.firing.Id).ToList();
            if (!MeterEntry.SeriesOf(readings).Then(s => s.Between(readings[0].ReadAt, readings[^1].ReadAt)).TryGet(out var energy, out _) || energy.Kwh <= 0) continue;
            var wareKg = loads.Where(i => i.FiringId == row.firing.Id).Sum(i => (double)(i.Frozen.MassG ?? 0)) / GramsPerKg;
            metered.Add((row.firing.Id, new MeteredFiring(
                KilnForecasts.LoadOf(kiln, row.firing.Aim.Kind, wareKg), RoomC, FiringEnergyQuestion.Programme(row.Schedule), (double)energy.Kwh)));
        }

        return metered;
    }
}
