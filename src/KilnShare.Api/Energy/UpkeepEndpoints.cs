using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>What wears out in a kiln, and when it is due.</summary>
public static class UpkeepEndpoints
{
    private const int MostFirings = 1_000;
    private const int ListedFirings = 50;

    /// <summary>Nearly all of the power counts as all of it: mains voltage moves by some percent.</summary>
    private const double NearlyFull = 0.97;

    /// <summary>Maps the routes.</summary>
    public static void MapUpkeep(this RouteGroupBuilder studio)
    {
        var upkeep = studio.MapGroup("/kilns/{kilnId:guid}/upkeep").WithTags("Energy");
        upkeep.MapGet("", Read).WithName("readKilnUpkeep").Answers<KilnUpkeepAnswer>().Refuses(503);
        upkeep.MapPost("", Write).WithName("createUpkeepEntry").TakesKey().Answers<UpkeepEntryAnswer>(201);
    }

    /// <summary>Write into a kiln's book of upkeep</summary>
    private static async Task<IResult> Write(Guid kilnId, UpkeepEntryBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Kiln>([caller.StudioId, new Id<Kiln>(kilnId)], cancellation) is not { } kiln) return Problems.Absent();
        var entry = new UpkeepEntry(caller.StudioId, NewId.Of<UpkeepEntry>(clock), kiln.Id, body.Kind, body.At)
        {
            Ohms = body.Ohms,
            Note = body.Note,
            MemberId = caller.MemberId,
        };
        db.Add(entry);
        Trail.Note(db, caller.StudioId, caller.MemberId, "kilns.upkeep", entry.Id.Value, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created($"/v1/studios/{caller.StudioId}/kilns/{kilnId}/upkeep", UpkeepEntryAnswer.Of(entry));
    }

    /// <summary>Read a kiln's upkeep</summary>
    /// <remarks>Elements and thermocouple by the firings since they were new, elements also by their resistance, with what is due and why.</remarks>
    private static async Task<IResult> Read(Guid kilnId, Caller caller, KilnShareDb db, SearchGate gate, CancellationToken cancellation)
    {
        if (await db.FindAsync<Kiln>([caller.StudioId, new Id<Kiln>(kilnId)], cancellation) is not { } kiln) return Problems.Absent();
        var book = await db.Set<UpkeepEntry>().AsNoTracking().Where(e => e.StudioId == caller.StudioId && e.KilnId == kiln.Id)
            .OrderBy(e => e.At).ThenBy(e => e.Id).ToListAsync(cancellation);
        var firings = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == caller.StudioId && f.KilnId == kiln.Id
                && (f.State == FiringState.Heating || f.State == FiringState.Cooling || f.State == FiringState.Unloaded || f.State == FiringState.Settled))
            .OrderByDescending(f => f.StartsAt).Take(MostFirings).ToListAsync(cancellation);
        var powers = await PowersOf(db, kiln, firings, cancellation);
        return (await gate.Run(_ => Answer(kiln, book, firings, powers), cancellation)).TryGet(out var answer, out var refusal)
            ? TypedResults.Ok(answer) : Problems.Of(refusal);
    }

    private static KilnUpkeepAnswer Answer(
        Kiln kiln, List<UpkeepEntry> book, List<Firing> firings, Dictionary<Id<Firing>, (HandEnergy? Samples, StudioSchedule? Schedule)> powers)
    {
        var forecasts = new Dictionary<(Id<StudioSchedule>, FiringKind), double?>();
        var minutes = firings.ToDictionary(f => f.Id, f => powers.TryGetValue(f.Id, out var power) ? MinutesOf(kiln, f, power, forecasts) : null);
        var upkeep = KilnUpkeep.Of(book, [.. firings.Select(f => new WearingFiring(f.LitAt ?? f.StartsAt, f.Aim.Cone, minutes[f.Id]))]);
        return new KilnUpkeepAnswer
        {
            Due = [.. upkeep.Due.Select(d => new UpkeepDueContract { Code = d.Code, Due = d.IsDue, Message = d.Message, Basis = d.Basis })],
            Elements = PartLifeContract.Of(upkeep.Elements),
            Resistance = upkeep.Resistance is { } r ? ResistanceOf(r) : null,
            Thermocouple = PartLifeContract.Of(upkeep.Thermocouple),
            FullPowerMinutes = Math.Round(upkeep.FullPowerMinutes, 1),
            FullPower = [.. firings.Take(ListedFirings).Select(f => new FullPowerContract
            {
                FiringId = f.Id.Value,
                StartsAt = f.StartsAt,
                Minutes = minutes[f.Id] is { } known ? Math.Round(known, 1) : null,
                Measured = powers.TryGetValue(f.Id, out var power) && power.Samples is not null,
            })],
            Book = [.. book.Select(UpkeepEntryAnswer.Of)],
        };
    }

    private static ElementReadingContract ResistanceOf(ElementReading reading) => new()
    {
        NewOhms = reading.NewOhms,
        NowOhms = reading.NowOhms,
        GrowthPercent = Math.Round(reading.GrowthPercent, 1),
        PowerPercent = Math.Round(reading.PowerPercent, 1),
        FiringsLeft = reading.FiringsLeft is { } left ? Math.Round(left, 0) : null,
    };

    /// <summary>By power samples; where there are none, by the forecast of its schedule, once for each schedule.</summary>
    private static double? MinutesOf(
        Kiln kiln, Firing firing, (HandEnergy? Samples, StudioSchedule? Schedule) power, Dictionary<(Id<StudioSchedule>, FiringKind), double?> forecasts)
    {
        if (kiln.Making.RatedKw is not { } kw) return null;
        if (power.Samples is { } samples) return samples.Take(firing.StartsAt, firing.FiringHours).Power.MinutesAtLeast(NearlyFull * (double)kw);
        if (power.Schedule is not { } schedule) return null;
        var name = (schedule.Id, firing.Aim.Kind);
        if (!forecasts.TryGetValue(name, out var known))
            forecasts[name] = known = KilnForecasts.Of(kiln, schedule.Schedule, firing.Aim.Kind) is { } forecast && forecast.TryGet(out var found, out _)
                ? found.Power.MinutesAtLeast(NearlyFull * (double)kw) : null;
        return known;
    }

    private static async Task<Dictionary<Id<Firing>, (HandEnergy? Samples, StudioSchedule? Schedule)>> PowersOf(
        KilnShareDb db, Kiln kiln, List<Firing> firings, CancellationToken cancellation)
    {
        var ids = firings.Select(f => f.Id).ToList();
        var hands = await db.Set<UnmeteredEnergy>().AsNoTracking().Where(u => u.StudioId == kiln.StudioId && ids.Contains(u.FiringId))
            .ToListAsync(cancellation);
        var named = firings.Select(f => f.ScheduleId).OfType<Id<StudioSchedule>>().Distinct().ToList();
        var schedules = await db.Set<StudioSchedule>().AsNoTracking().Where(s => s.StudioId == kiln.StudioId && named.Contains(s.Id)).ToListAsync(cancellation);
        return firings.ToDictionary(f => f.Id, f => (
            hands.Find(u => u.FiringId == f.Id && u.Energy.Samples.Count > 0)?.Energy, schedules.Find(s => s.Id == f.ScheduleId)));
    }
}
