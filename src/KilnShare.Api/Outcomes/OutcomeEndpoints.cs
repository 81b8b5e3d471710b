using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Outcomes;

/// <summary>How pieces came out.</summary>
public static class OutcomeEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapOutcomes(this RouteGroupBuilder studio)
    {
        var group = studio.MapGroup("").WithTags("Outcomes");
        group.MapPost("/pieces/{pieceId:guid}/outcomes", Create).WithName("createOutcome").TakesKey().Answers<OutcomeAnswer>(201).Refuses(409, 422);
        group.MapPost("/outcomes/batch", CreateMany).WithName("createOutcomes").TakesKey().Answers<BatchAnswer<OutcomeAnswer>>().Refuses(422);
        studio.MapFiringOutcomes();
        studio.MapOutcomeEdits();
        group.MapGet("/outcomes", List).WithName("listOutcomes").Answers<Page<OutcomeAnswer>>();
    }

    /// <summary>Write down how a copy came out</summary>
    internal static async Task<IResult> Create(
        Guid pieceId, OutcomeBody body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Piece>([caller.StudioId, new Id<Piece>(pieceId)], cancellation) is not { } piece) return Problems.Absent();
        if (caller.MayActFor(piece.MemberId) is { } notYours) return Problems.Of(notYours);
        var (studio, firingId) = (caller.StudioId, new Id<Firing>(body.FiringId));
        var item = await db.Set<LoadItem>().AsNoTracking().SingleOrDefaultAsync(
            i => i.StudioId == studio && i.FiringId == firingId && i.PieceId == piece.Id && i.Copy == body.Copy && i.Fate == LoadFate.Placed, cancellation);
        if (item is null) return Problems.Of(
            Refusal.Rule("outcomes.was-not-in", "That copy did not go into that firing. Check the firing and the mark under the foot.", "/firingId"));
        var firing = await db.Set<Firing>().AsNoTracking().SingleAsync(f => f.StudioId == studio && f.Id == firingId, cancellation);
        if (firing.State < FiringState.Unloaded) return Problems.Of(NotUnloaded with { Pointer = "/firingId" });
        if (await db.Set<Outcome>().AnyAsync(o => o.StudioId == studio && o.FiringId == firingId && o.PieceId == piece.Id && o.Copy == body.Copy, cancellation))
            return Problems.Of(
                Refusal.Conflict("outcomes.written", "The outcome of that copy in that firing is written down already. Change that one.", "/copy"));
        if (OutcomeLoss.JudgedTooSoon(body, firing, clock) is { } tooSoon) return Problems.Of(tooSoon);
        var outcome = new Outcome(
            studio, NewId.Of<Outcome>(clock), firingId, piece.Id, body.Copy, body.Grade, clock.GetCurrentInstant())
        { MemberId = caller.MemberId };
        body.WriteTo(outcome);
        db.Add(outcome);
        if (await OutcomeLoss.Follow(db, caller, outcome, item, firing, clock, cancellation) is { } refusal) return Problems.Of(refusal);

        Trail.Note(db, studio, caller.MemberId, "outcomes.create", outcome.Id.Value, clock);
        await db.SaveChangesAsync(cancellation);
        return Versions.Created(context, $"/v1/studios/{studio}/outcomes/{outcome.Id}", OutcomeAnswer.Of(outcome), outcome.Version);
    }

    internal static Refusal NotUnloaded => Refusal.Conflict("outcomes.not-unloaded", "The kiln is not unloaded yet. Unload it first.");

    /// <summary>Write down how many copies came out</summary>
    /// <remarks>
    /// Up to 500 lines in one transaction, each checked and written as by itself; by default all of them or none. What is refused is told line by
    /// line.
    /// </remarks>
    private static Task<IResult> CreateMany(
        Batch<OutcomeLine> body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation) =>
        Batches.Run<OutcomeLine, OutcomeAnswer>(
            context, db, body.Lines, body.AllOrNothing, line => Create(line.PieceId, line, caller, context, db, clock, cancellation), cancellation);

    /// <summary>List outcomes</summary>
    private static async Task<IResult> List(
        Caller caller, HttpContext context, KilnShareDb db, Guid? firingId, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var start = new Id<Outcome>(from);
        var query = db.Set<Outcome>().AsNoTracking().Where(o => o.StudioId == caller.StudioId);
        if (firingId is { } firing) query = query.Where(o => o.FiringId == new Id<Firing>(firing));
        var rows = await query.Where(o => EF.Functions.GreaterThan(ValueTuple.Create(o.Id), ValueTuple.Create(start)))
            .OrderBy(o => o.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, o => o.Id.Value, OutcomeAnswer.Of);
    }
}
