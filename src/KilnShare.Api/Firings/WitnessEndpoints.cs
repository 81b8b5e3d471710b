using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Api.Cones;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using KilnShare.Storage.Firings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>Witness cones, and what a kiln's levels have taught by them.</summary>
public static class WitnessEndpoints
{
    private const double UsualRateCPerHour = 60;

    /// <summary>Maps the routes.</summary>
    public static void MapWitnessCones(this RouteGroupBuilder studio)
    {
        var cones = studio.MapGroup("/firings/{firingId:guid}/witness-cones").WithTags("Firings");
        cones.MapPost("", Create).WithName("createWitnessCones").TakesKey().Answers<WitnessConesAnswer>(201).Refuses(409, 422);
        cones.MapGet("", List).WithName("listWitnessCones").Answers<WitnessConesAnswer>();
        studio.MapGet("/kilns/{kilnId:guid}/levels", ReadLevels).WithTags("Firings").WithName("readKilnLevels").Answers<KilnLevelsAnswer>();
    }

    /// <summary>Write witness cones down</summary>
    /// <remarks>After the firing. A cone written down again for the same level stands for the earlier one.</remarks>
    private static async Task<IResult> Create(
        Guid firingId, WitnessConesBody body, Caller caller, KilnShareDb db, LearntKilns memory, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (firing.State is not (FiringState.Cooling or FiringState.Unloaded or FiringState.Settled))
            return Problems.Of(Refusal.Conflict("firings.not-over", "Witness cones are read after the firing. Move it to cooling first."));
        var before = await EntriesOf(db, firing, cancellation);
        var rate = await EndRateOf(db, memory, firing, cancellation);
        var now = clock.GetCurrentInstant();
        var entries = body.Cones.Select(c => new WitnessEntry(caller.StudioId, NewId.Of<WitnessEntry>(clock), firing.Id, c.Level, c.Cone, c.Degrees, rate, now)
        {
            MemberId = caller.MemberId,
        }).ToList();
        List<WitnessEntry> all = [.. before, .. entries];
        if (!WitnessReading.Of(WitnessEntry.FiringOf(firing.Aim, all)).TryGet(out var levels, out var refusal))
            return Problems.Of(refusal with { Pointer = "/cones" });
        db.AddRange(entries);
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.witness-cones", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created($"/v1/studios/{caller.StudioId}/firings/{firingId}/witness-cones", Answer(firing, all, levels));
    }

    /// <summary>List a firing's witness cones and what they say</summary>
    private static async Task<IResult> List(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        var entries = await EntriesOf(db, firing, cancellation);
        var levels = entries.Count > 0 && WitnessReading.Of(WitnessEntry.FiringOf(firing.Aim, entries)).TryGet(out var read, out _) ? read : [];
        return TypedResults.Ok(Answer(firing, entries, levels));
    }

    /// <summary>Read what has been learnt of a kiln's levels</summary>
    private static async Task<IResult> ReadLevels(Guid kilnId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Kiln>([caller.StudioId, new Id<Kiln>(kilnId)], cancellation) is not { } kiln) return Problems.Absent();
        var known = await db.ReadLevels(caller.StudioId, kiln.Id, cancellation);
        return TypedResults.Ok(new KilnLevelsAnswer { Firings = known.Firings, Levels = [.. known.Levels.Select(KilnLevelContract.Of)] });
    }

    private static WitnessConesAnswer Answer(Firing firing, List<WitnessEntry> entries, IReadOnlyList<WitnessLevel> levels) => new()
    {
        TargetCone = ConeEquivalentContract.At(firing.Aim.Series, firing.Aim.Cone),
        EndRateCPerHour = Math.Round(entries.Count > 0 ? entries[^1].EndRateCPerHour : UsualRateCPerHour, 1),
        Items = [.. entries.Select(e => WitnessConeAnswer.Of(e, firing.Aim.Series))],
        Levels = [.. levels.Select(WitnessLevelContract.Of)],
    };

    private static Task<List<WitnessEntry>> EntriesOf(KilnShareDb db, Firing firing, CancellationToken cancellation) =>
        db.Set<WitnessEntry>().AsNoTracking().Where(w => w.StudioId == firing.StudioId && w.FiringId == firing.Id).OrderBy(w => w.WrittenAt).ThenBy(w => w.Id)
            .ToListAsync(cancellation);

    /// <summary>The rate over the last 100 °C: by the log, else by the schedule, else the usual one; within what the table answers.</summary>
    private static async Task<double> EndRateOf(KilnShareDb db, LearntKilns memory, Firing firing, CancellationToken cancellation)
    {
        var log = await FiringLog.Read(db, firing, cancellation);
        var byLog = log.ToCurve().TryGet(out var curve, out _) ? curve.History.EndRateCPerHour : null;
        var rate = byLog ?? (await ProgressEndpoints.PlanOf(db, memory, firing, cancellation))?.EndRateCPerHour ?? UsualRateCPerHour;
        var tabulated = ConeTables.TabulatedRatesCPerHour(firing.Aim.Series);
        return tabulated.Count == 1 ? tabulated[0] : Math.Clamp(rate, ConeTables.SlowestRateCPerHour, ConeTables.FastestRateCPerHour);
    }
}
