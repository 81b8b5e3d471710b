using KilnShare.Api.Access;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Common;
using KilnShare.Api.Hosting;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>A firing's published plan, and what really went in.</summary>
public static class LoadEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapLoads(this RouteGroupBuilder studio)
    {
        var firing = studio.MapGroup("/firings/{firingId:guid}").WithTags("Bookings");
        firing.MapGet("/load-plan", ReadPlan).WithName("readLoadPlan").Answers<FiringPlanAnswer>();
        firing.MapPost("/load-plan", PlanAnew).WithName("planLoadAnew").Answers<FiringPlanAnswer>().Refuses(409, 422, 503);
        firing.MapPut("/load", Write).WithName("writeLoad").Answers<LoadAnswer>().Refuses(409, 422);
        firing.MapGet("/load", Read).WithName("readLoad").Answers<LoadAnswer>();
    }

    /// <summary>Read the published load plan</summary>
    private static async Task<IResult> ReadPlan(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        await using var reading = await db.Database.BeginTransactionAsync(System.Data.IsolationLevel.RepeatableRead, cancellation);
        if (await db.ReadRoom(caller.StudioId, new Id<Firing>(firingId), cancellation) is not { } snapshot) return Problems.Absent();
        var isToCome = snapshot.Firing.State <= FiringState.Fixed;
        var doubts = isToCome ? WareDoubts.Of(snapshot.Room, await db.WithMaterialsNow(caller.StudioId, snapshot.Room.Held, cancellation)) : [];
        return TypedResults.Ok(FiringPlanAnswer.Of(snapshot, doubts));
    }

    /// <summary>Plan a firing anew on the furniture that exists</summary>
    /// <remarks>
    /// After the kiln's shelves or posts were changed: everything that is booked gets a place on what is there now, or the refusal names what finds none. A
    /// plan that stands already is left as it is, so it may be asked twice.
    /// </remarks>
    private static async Task<IResult> PlanAnew(
        Guid firingId, Caller caller, KilnShareDb db, PlanWriter writer, JobSignal jobs, IClock clock, CancellationToken cancellation)
    {
        var result = await writer.Run(caller.StudioId, new Id<Firing>(firingId), new PlanAnewChange(db, caller, clock), cancellation);
        if (!result!.TryGet(out _, out var refusal)) return Problems.Of(refusal);
        jobs.Ring();
        db.ChangeTracker.Clear();
        return await ReadPlan(firingId, caller, db, cancellation);
    }

    /// <summary>Write down what really went in</summary>
    /// <remarks>
    /// Makes a fixed firing a loaded one. Shares, stages and outcomes rest on this list only. What was booked and stayed behind waits at the head
    /// of the next firing that suits it, where there is one. Who still waits is let go, with the reason on the booking.
    /// </remarks>
    private static async Task<IResult> Write(
        Guid firingId, LoadBody body, Caller caller, KilnShareDb db, JobSignal jobs, IClock clock, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        await db.LockPlan(caller.StudioId, new Id<Firing>(firingId), cancellation);
        if (await db.ReadRoom(caller.StudioId, new Id<Firing>(firingId), cancellation) is not { } snapshot) return Problems.Absent();
        if (await RefuseNow(db, snapshot.Firing, cancellation) is { } notNow) return Problems.Of(notNow);
        if (snapshot.Firing.State == FiringState.Fixed && snapshot.Anew is { } onNew) return Problems.Of(Core.Bookings.PlanAnew.Gone(onNew));
        var named = body.Placed.Select(p => p.PieceId).Concat(body.LeftBehind.Select(l => l.PieceId)).Select(p => new Id<Piece>(p));
        var booked = snapshot.Room.Held.Where(h => body.AsPlanned && !h.IsRoom).Select(h => h.PieceId);
        var now = await db.ReadCopies(caller.StudioId, [.. named.Concat(booked).Distinct()], cancellation);
        if (!RealLoad.Of(body, snapshot, now, await BookedSteps(db, snapshot.Firing, cancellation)).TryGet(out var items, out var refusal))
            return Problems.Of(refusal);
        var findings = RealLoad.FindingsOn(items, snapshot.Room);
        if (findings.FirstOrDefault(f => f.Verdict == Verdict.Incompatible) is { } hard)
            return Problems.Of(Refusal.Rule("cofiring.incompatible", "What was added may not go into this firing: " + hard.Message, "/placed"));
        var (placed, steps) = (items.FindAll(i => i.Fate == LoadFate.Placed), now.ToDictionary(c => (c.Piece.Id, c.Copy.Copy), c => c.Copy.Step));
        if (await StayedBehind.Unqueue(db, snapshot.Firing, PlacedSteps(placed, steps), cancellation) is { } elsewhere)
            return Problems.Of(elsewhere with { Pointer = "/placed" });
        var massG = BookingDecision.MassOf(
            snapshot.Room.Held.Where(h => items.Exists(i => i.Fate == LoadFate.Placed && i.PieceId == h.PieceId && i.Copy == h.Copy)));
        await db.TakeNextVersion(caller.StudioId, snapshot.Firing.Id, snapshot.Room.LoadVersion, massG, WriteWhile.Always, cancellation);
        // Where nothing was planned, what it costs goes by the kiln as it is.
        if (snapshot.GroundVersion is null) await db.KeepGround(caller.StudioId, snapshot.Firing.Id, cancellation);
        var stayed = await RealLoad.Store(db, snapshot.Firing, items, cancellation);
        await LettingGo.Waiting(db, snapshot.Firing, caller.MemberId, clock, cancellation);
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.loaded", firingId, clock);
        await LaterSteps.Note(db, caller.StudioId, caller.MemberId, [.. stayed.Select(c => (c.PieceId, c.Copy, c.Step))], clock, cancellation);
        await db.SaveChangesAsync(cancellation);
        await LoadedAlong.Write(db, snapshot.Firing, placed, steps, caller.MemberId, clock, cancellation);
        await StayedBehind.Queue(db, snapshot.Firing, stayed, clock, cancellation);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        jobs.Ring();
        return TypedResults.Ok(await Answer(db, snapshot, items, findings, cancellation));
    }

    /// <summary>Read what really went in</summary>
    private static async Task<IResult> Read(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.ReadRoom(caller.StudioId, new Id<Firing>(firingId), cancellation) is not { } snapshot) return Problems.Absent();
        var items = await db.Set<LoadItem>().AsNoTracking()
            .Where(i => i.StudioId == caller.StudioId && i.FiringId == snapshot.Firing.Id).OrderBy(i => i.PieceId).ThenBy(i => i.Copy)
                .ToListAsync(cancellation);
        return TypedResults.Ok(await Answer(db, snapshot, items, RealLoad.FindingsOn(items, snapshot.Room), cancellation));
    }

    /// <summary>A load is written before lighting; or later, where a kiln was lit before anybody wrote it.</summary>
    private static async Task<Refusal?> RefuseNow(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        if (firing.State is FiringState.Fixed or FiringState.Loaded) return null;
        if (firing.State is FiringState.Heating or FiringState.Cooling
            && !await db.Set<LoadItem>().AnyAsync(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id, cancellation)) return null;
        return firing.State > FiringState.Loaded && firing.State != FiringState.Cancelled
            ? Refusal.Conflict("firings.load-written",
                $"The firing is {FiringStates.Word(firing.State)} and its load is written. Once it is unloaded, put the list right with a correction.")
            : FiringStates.Check(firing.State, FiringState.Loaded) ?? Refusal.Conflict("firings.no-such-step", "A load is written for a fixed firing.", null);
    }

    private static async Task<Dictionary<(Id<Piece> Piece, int Copy), int>> BookedSteps(KilnShareDb db, Firing firing, CancellationToken cancellation) =>
        (await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State == BookingState.Confirmed && !c.IsRoom)
            .Select(c => new { c.PieceId, c.Copy, c.Step }).ToListAsync(cancellation)).ToDictionary(c => (c.PieceId, c.Copy), c => c.Step);

    private static HashSet<(Id<Piece>, int, int)> PlacedSteps(IReadOnlyList<LoadItem> placed, Dictionary<(Id<Piece> Piece, int Copy), int> steps) =>
        [.. placed.Select(i => (i.PieceId, i.Copy, steps[(i.PieceId, i.Copy)]))];

    private static async Task<LoadAnswer> Answer(
        KilnShareDb db, RoomSnapshot snapshot, IReadOnlyList<LoadItem> items, IReadOnlyList<Finding> findings, CancellationToken cancellation)
    {
        var left = items.Where(i => i.Fate == LoadFate.LeftBehind).Select(i => i.PieceId).Distinct().ToList();
        var waits = await (from copy in db.Set<BookedCopy>().AsNoTracking()
                           join booking in db.Set<Booking>()
                               .AsNoTracking() on new { copy.StudioId, Id = copy.BookingId } equals new { booking.StudioId, booking.Id }
                           where copy.StudioId == snapshot.Firing.StudioId && left.Contains(copy.PieceId) && booking.StayedBehind
                               && copy.State != BookingState.Withdrawn
                           select new { copy.PieceId, copy.Copy, copy.FiringId }).ToListAsync(cancellation);
        return new LoadAnswer
        {
            Items = [.. items.Select(i => LoadItemAnswer.Of(i) with
            {
                NextFiringId = i.Fate == LoadFate.LeftBehind ? waits.Find(w => w.PieceId == i.PieceId && w.Copy == i.Copy)?.FiringId.Value : null,
            })],
            Findings = [.. findings.Select(FindingContract.Of)],
        };
    }
}
