using KilnShare.Api.Access;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Common;
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
        firing.MapPut("/load", Write).WithName("writeLoad").Answers<LoadAnswer>().Refuses(409, 422);
        firing.MapGet("/load", Read).WithName("readLoad").Answers<LoadAnswer>();
    }

    /// <summary>Read the published load plan</summary>
    private static async Task<IResult> ReadPlan(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        await using var reading = await db.Database.BeginTransactionAsync(System.Data.IsolationLevel.RepeatableRead, cancellation);
        var snapshot = await db.ReadRoom(caller.StudioId, new Id<Firing>(firingId), cancellation);
        return snapshot is null ? Problems.Absent() : TypedResults.Ok(FiringPlanAnswer.Of(snapshot.Room));
    }

    /// <summary>Write down what really went in</summary>
    /// <remarks>Makes a fixed firing a loaded one. Shares, stages and outcomes rest on this list only.</remarks>
    private static async Task<IResult> Write(
        Guid firingId, LoadBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        if (await db.ReadRoom(caller.StudioId, new Id<Firing>(firingId), cancellation) is not { } snapshot) return Problems.Absent();
        if (snapshot.Firing.State is not (FiringState.Fixed or FiringState.Loaded))
            return Problems.Of(FiringStates.Check(snapshot.Firing.State, FiringState.Loaded) ?? Refusal.Conflict("firings.no-such-step", "A load is written for a fixed firing.", null));
        var now = await db.ReadCopies(caller.StudioId, [.. body.Placed.Select(p => p.PieceId).Concat(body.LeftBehind.Select(l => l.PieceId)).Distinct().Select(p => new Id<Piece>(p))], cancellation);
        if (!RealLoad.Of(body, snapshot, now).TryGet(out var items, out var refusal)) return Problems.Of(refusal);
        var findings = RealLoad.FindingsOn(items, snapshot.Room);
        if (findings.FirstOrDefault(f => f.Verdict == Verdict.Incompatible) is { } hard)
            return Problems.Of(Refusal.Rule("cofiring.incompatible", "What was added may not go into this firing: " + hard.Message, "/placed"));
        await RealLoad.Store(db, snapshot.Firing, items, cancellation);
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.loaded", firingId, clock);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        return TypedResults.Ok(new LoadAnswer { Items = [.. items.Select(LoadItemAnswer.Of)], Findings = [.. findings.Select(FindingContract.Of)] });
    }

    /// <summary>Read what really went in</summary>
    private static async Task<IResult> Read(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.ReadRoom(caller.StudioId, new Id<Firing>(firingId), cancellation) is not { } snapshot) return Problems.Absent();
        var items = await db.Set<LoadItem>().AsNoTracking()
            .Where(i => i.StudioId == caller.StudioId && i.FiringId == snapshot.Firing.Id).OrderBy(i => i.PieceId).ThenBy(i => i.Copy).ToListAsync(cancellation);
        return TypedResults.Ok(new LoadAnswer
        {
            Items = [.. items.Select(LoadItemAnswer.Of)],
            Findings = [.. RealLoad.FindingsOn(items, snapshot.Room).Select(FindingContract.Of)],
        });
    }
}
