using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Costs;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage.Bookings;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Outcomes;

/// <summary>What was in a firing and how it came out, taken again after it was unloaded.</summary>
public static class FiringCorrectionEndpoints
{
    private const int MostRows = 500;

    /// <summary>Maps the routes.</summary>
    public static void MapFiringCorrections(this RouteGroupBuilder studio)
    {
        var corrections = studio.MapGroup("/firings/{firingId:guid}/corrections").WithTags("Firings");
        corrections.MapPost("", Correct).WithName("correctFiring").NeedsKey().Answers<FiringCorrectionAnswer>(201).Refuses(409, 422);
        corrections.MapGet("", List).WithName("listFiringCorrections").Answers<Page<FiringCorrectionAnswer>>();
    }

    /// <summary>Put right what was in a firing, or how it came out</summary>
    /// <remarks>
    /// After unloading, with a reason. Every copy becomes what the firing really made of it; refused where a later firing or an outcome rests on what
    /// would change. How hot it became is read again from witness cones and log. A settled firing is settled again by the same price and rules: the old
    /// entries are reversed, and it stays one settlement. Needs an Idempotency-Key.
    /// </remarks>
    private static async Task<IResult> Correct(
        Guid firingId, FiringCorrectionBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        await db.LockPlan(caller.StudioId, new Id<Firing>(firingId), cancellation);
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (firing.State is not (FiringState.Unloaded or FiringState.Settled)) return Problems.Of(Refusal.Conflict(
            "firings.not-unloaded", $"The firing is {FiringStates.Word(firing.State)}. What was in it and how it came out is put right once it is unloaded."));
        var said = firing.Outcome ?? FiringOutcome.Sound;
        if (!(await FiringRewriting.Read(db, firing, body, cancellation)).TryGet(out var rewriting, out var refusal)) return Problems.Of(refusal);
        if (await rewriting.Refuse(db, cancellation) is { } resting) return Problems.Of(resting);
        await rewriting.Write(db, caller.MemberId, clock, cancellation);
        var now = clock.GetCurrentInstant();
        if (!(await SettlementCorrection.Again(db, firing, rewriting.Used, body.Reason, caller.MemberId, now, cancellation))
            .TryGet(out var settlement, out refusal)) return Problems.Of(refusal);
        var correction = new FiringCorrection(caller.StudioId, NewId.Of<FiringCorrection>(clock), firing.Id, body.Reason, caller.MemberId, now)
        {
            OutcomeBefore = said,
            Outcome = firing.Outcome ?? FiringOutcome.Sound,
            Copies = rewriting.Changes,
            SettlementRevision = settlement?.Revision,
        };
        var answer = FiringCorrectionAnswer.Of(correction);
        db.Add(correction);
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.corrected", firingId, clock);
        if (settlement is not null) Trail.Note(db, caller.StudioId, caller.MemberId, "firings.settlement-corrected", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created($"/v1/studios/{caller.StudioId}/firings/{firingId}/corrections", answer);
    }

    /// <summary>List what was put right of a firing</summary>
    private static async Task<IResult> List(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        var id = new Id<Firing>(firingId);
        if (!await db.Set<Firing>().AnyAsync(f => f.StudioId == caller.StudioId && f.Id == id, cancellation)) return Problems.Absent();
        var rows = await db.Set<FiringCorrection>().AsNoTracking().Where(c => c.StudioId == caller.StudioId && c.FiringId == id)
            .OrderBy(c => c.Id).Take(MostRows).ToListAsync(cancellation);
        return TypedResults.Ok(new Page<FiringCorrectionAnswer> { Items = [.. rows.Select(FiringCorrectionAnswer.Of)], Next = null });
    }
}
