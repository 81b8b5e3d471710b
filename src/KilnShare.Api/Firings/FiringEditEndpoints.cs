using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>Changing what a firing is to be and when, and calling firings off.</summary>
public static class FiringEditEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapFiringEdits(this RouteGroupBuilder firings)
    {
        firings.MapPatch("/{firingId:guid}", Change).WithName("editFiring").Edits<FiringBody>().Answers<FiringAnswer>().Refuses(409, 422);
        firings.MapDelete("/{firingId:guid}", CallOff).WithName("archiveFiring").Archives().Refuses(409);
    }

    /// <summary>Change a firing</summary>
    /// <remarks>Its times until the kiln is loaded; kind, cone and atmosphere while nobody has booked. The kiln stays.</remarks>
    private static async Task<IResult> Change(
        Guid firingId, MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, LearntKilns memory, Editing editing, IClock clock,
        CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        var edit = await editing.Read<FiringBody>(context, firing, FiringAnswer.Of(firing), patch, cancellation);
        if (!edit.TryGet(out var body, out var refused)) return refused;
        if (await Refuse(db, firing, body, cancellation) is { } refusal) return Problems.Of(refusal);
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        if (!(await PlannedHours.Read(db, memory, firing.StudioId, body, kiln, cancellation)).TryGet(out var hours, out refusal)) return Problems.Of(refusal);
        if (hours.FiringHours != firing.FiringHours || hours.CoolingHours != firing.CoolingHours) firing.HoursBasis = hours.Basis;
        firing.Aim = body.ToAim();
        firing.ScheduleId = body.ScheduleId is { } schedule ? new Id<StudioSchedule>(schedule) : null;
        var (start, end) = (firing.StartsAt, firing.EndsAt);
        firing.Plan(body.StartsAt, hours.FiringHours, hours.CoolingHours);
        if (firing.StartsAt < start) db.Add(BookingRows.Release(firing.StudioId, firing.Id, firing.StartsAt, clock));
        if (firing.EndsAt > end) await NoteLater(db, firing, caller.MemberId, clock, cancellation);
        try
        {
            var answer = await editing.Save(context, caller, firing, firingId, "firings.edit", () => FiringAnswer.Of(firing), cancellation);
            await writing.CommitAsync(cancellation);
            return answer;
        }
        catch (DbUpdateException e) when (KilnTimes.AreTaken(e))
        {
            await writing.RollbackAsync(cancellation);
            return Problems.Of(await KilnTimes.Refuse(db, firing, cancellation));
        }
    }

    /// <summary>Call a firing off</summary>
    /// <remarks>
    /// It becomes cancelled; its bookings are withdrawn and the kiln's time is free again. What members pay then, if anything, the studio's cost
    /// rules say.
    /// </remarks>
    private static async Task<IResult> CallOff(
        Guid firingId, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        await db.LockPlan(caller.StudioId, new Id<Firing>(firingId), cancellation);
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (Versions.Check(context, firing.Version) is { } stale) return stale;
        if (FiringStates.Check(firing.State, FiringState.Cancelled) is { } refusal) return Problems.Of(refusal with { Pointer = null });
        firing.State = FiringState.Cancelled;
        firing.Version++;
        await FiringEffects.Release(db, firing, caller.MemberId, clock, cancellation);
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.cancelled", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        return TypedResults.NoContent();
    }

    private static async Task NoteLater(KilnShareDb db, Firing firing, Id<Member> member, IClock clock, CancellationToken cancellation)
    {
        var copies = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State != BookingState.Withdrawn)
            .Select(c => new { c.PieceId, c.Copy, c.Step }).ToListAsync(cancellation);
        await LaterSteps.Note(db, firing.StudioId, member, [.. copies.Select(c => (c.PieceId, c.Copy, c.Step))], clock, cancellation);
    }

    private static async Task<Refusal?> Refuse(KilnShareDb db, Firing firing, FiringBody body, CancellationToken cancellation)
    {
        if (firing.State > FiringState.Fixed)
            return Refusal.Conflict("firings.too-late", $"The firing is {FiringStates.Word(firing.State)}: what happened stays as it is. Plan another firing.");
        if (body.KilnId != firing.KilnId.Value)
            return Refusal.Rule("firings.kiln-stays", "A firing stays in its kiln. Call it off and plan one in the other kiln.", "/kilnId");
        // Which of two cones of one number is meant may be said while ware is booked.
        if (body.ToCore() == firing.Aim with { ConeIsMeant = false }) return null;
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        if (FiringEndpoints.CheckCone(body, kiln) is { } refusal) return refusal;

        // A booking that is being decided on the old aim finds another load version and begins anew.
        await db.Set<FiringLoad>().Where(l => l.StudioId == firing.StudioId && l.FiringId == firing.Id)
            .ExecuteUpdateAsync(set => set.SetProperty(l => l.LoadVersion, l => l.LoadVersion + 1), cancellation);
        return await db.Set<Booking>()
            .AnyAsync(b => b.StudioId == firing.StudioId && b.FiringId == firing.Id && b.State != BookingState.Withdrawn, cancellation)
            ? Refusal.Rule(
                "firings.has-bookings", "Ware is booked for this kind, cone and atmosphere. Ask its owners to withdraw first, or plan another firing.", "/cone")
            : null;
    }
}
