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

/// <summary>One outcome: read, put right, and what it said before.</summary>
internal static class OutcomeEditEndpoints
{
    private const int MostRows = 1000;

    /// <summary>Maps the routes.</summary>
    public static void MapOutcomeEdits(this RouteGroupBuilder studio)
    {
        var group = studio.MapGroup("/outcomes/{outcomeId:guid}").WithTags("Outcomes");
        group.MapGet("", Read).WithName("readOutcome").Answers<OutcomeAnswer>();
        group.MapPatch("", Change).WithName("editOutcome").Edits<OutcomeDescription>().Answers<OutcomeAnswer>().Refuses(409, 422);
        group.MapGet("/earlier", Earlier).WithName("listEarlierOutcomes").Answers<Page<EarlierOutcomeAnswer>>();
    }

    /// <summary>Read an outcome</summary>
    private static async Task<IResult> Read(Guid outcomeId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        await db.FindAsync<Outcome>([caller.StudioId, new Id<Outcome>(outcomeId)], cancellation) is { } outcome
            ? Versions.Ok(context, OutcomeAnswer.Of(outcome), outcome.Version) : Problems.Absent();

    /// <summary>Put an outcome right</summary>
    /// <remarks>
    /// What it said before is kept and can be read. A copy that was written down as lost by mistake is there again, as the firing left it; one that was fired
    /// again since cannot have been lost in this firing.
    /// </remarks>
    private static async Task<IResult> Change(
        Guid outcomeId, MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, Editing editing, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Outcome>([caller.StudioId, new Id<Outcome>(outcomeId)], cancellation) is not { } outcome) return Problems.Absent();
        var piece = await db.Set<Piece>().AsNoTracking().SingleAsync(p => p.StudioId == caller.StudioId && p.Id == outcome.PieceId, cancellation);
        if (caller.MayActFor(piece.MemberId) is { } notYours) return Problems.Of(notYours);
        var edit = await editing.Read(context, outcome, new OutcomeDescription(outcome), patch, cancellation);
        if (!edit.TryGet(out var words, out var refused)) return refused;
        var firing = await db.Set<Firing>().AsNoTracking().SingleAsync(f => f.StudioId == caller.StudioId && f.Id == outcome.FiringId, cancellation);
        if (OutcomeLoss.JudgedTooSoon(words, firing, clock) is { } tooSoon) return Problems.Of(tooSoon);
        var item = await db.Set<LoadItem>().AsNoTracking().SingleAsync(
            i => i.StudioId == caller.StudioId && i.FiringId == outcome.FiringId && i.PieceId == outcome.PieceId && i.Copy == outcome.Copy, cancellation);
        words.WriteTo(outcome);
        (outcome.MemberId, outcome.ChangedAt) = (caller.MemberId, clock.GetCurrentInstant());
        if (await OutcomeLoss.Follow(db, caller, outcome, item, firing, clock, cancellation) is { } refusal) return Problems.Of(refusal);
        return await editing.Save(context, caller, outcome, outcomeId, "outcomes.edit", () => OutcomeAnswer.Of(outcome), cancellation);
    }

    /// <summary>List what an outcome said before it was changed</summary>
    /// <remarks>The oldest first.</remarks>
    private static async Task<IResult> Earlier(Guid outcomeId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        var id = new Id<Outcome>(outcomeId);
        if (!await db.Set<Outcome>().AnyAsync(o => o.StudioId == caller.StudioId && o.Id == id, cancellation)) return Problems.Absent();
        var earlier = await db.Set<EarlierOutcome>().AsNoTracking().Where(e => e.StudioId == caller.StudioId && e.OutcomeId == id)
            .OrderBy(e => e.Version).Take(MostRows).ToListAsync(cancellation);
        return TypedResults.Ok(new Page<EarlierOutcomeAnswer> { Items = [.. earlier.Select(EarlierOutcomeAnswer.Of)], Next = null });
    }
}
