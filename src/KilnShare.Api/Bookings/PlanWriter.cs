using System.Data;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Bookings;

/// <summary>A change of a firing's plan, in the steps it is made of.</summary>
/// <typeparam name="TRead">What it reads besides the room.</typeparam>
/// <typeparam name="T">What it answers.</typeparam>
public abstract class PlanChange<TRead, T>
{
    /// <summary>In which firings it may be written.</summary>
    public virtual WriteWhile Allowed => WriteWhile.Accepting;

    /// <summary>True where the change may be made though the plan's furniture is gone: it only takes ware out, or plans anew.</summary>
    public virtual bool EvenIfFurnitureGone => PlansAnew;

    /// <summary>The copies that it adds as they were read, for a last look at them when it is written; empty where it adds none.</summary>
    public virtual IReadOnlyCollection<CopyNow> Seen => [];

    /// <summary>Reads what it needs, as of the same instant as the room.</summary>
    public abstract Task<Result<TRead>> Read(RoomSnapshot snapshot, CancellationToken cancellation);

    /// <summary>Decides on the next plan; pure, no connection is held.</summary>
    public abstract Result<BookingDecision> Decide(RoomSnapshot snapshot, TRead read, bool insertOnly, CancellationToken cancellation);

    /// <summary>True where the next plan stands on the furniture that exists and that is not written down yet; a plan without ware stands anywhere.</summary>
    internal bool NewGround(RoomSnapshot snapshot, BookingDecision decision) =>
        snapshot.GroundVersion != snapshot.KilnVersion && (snapshot.Anew is null || PlansAnew || decision.Plan.Shelves.Count == 0);

    /// <summary>True where it plans everything on the furniture that exists.</summary>
    public virtual bool PlansAnew => false;

    /// <summary>Adds the rows of the change and gives the answer.</summary>
    public abstract T Write(RoomSnapshot snapshot, TRead read, BookingDecision decision);

    /// <summary>Where what it makes is; null where it makes nothing.</summary>
    public virtual string? LocationOf(T answer) => null;
}

/// <summary>Replaces plan V by plan V + 1 (see DEVELOPERS.md, "How a booking is decided"): read, decide without a connection, write in a few ms.</summary>
public sealed class PlanWriter(KilnShareDb db, Idempotency idempotency, SearchGate gate, FiringQueue queue)
{
    private const int OptimisticRounds = 3;

    /// <summary>Makes the change. Null: the caller's key was claimed by another request meanwhile, whose answer is then given.</summary>
    public async Task<Result<T>?> Run<TRead, T>(Id<Studio> studio, Id<Firing> firing, PlanChange<TRead, T> change, CancellationToken cancellation)
    {
        using var turn = await queue.Enter(firing, cancellation);
        if (turn is null) return Busy("Many bookings for this firing are being decided. Nothing was stored: ask again in a few seconds.");
        for (var round = 0; ; round++)
        {
            try
            {
                var (outcome, result) = round < OptimisticRounds
                    ? await TryOnce(studio, firing, change, cancellation)
                    : await TryLocked(studio, firing, change, cancellation);
                if (outcome != Outcome.LostRace) return outcome == Outcome.KeyTaken ? null : result;
            }
            catch (Exception e) when (Postgres.MayRetry(e) && round < OptimisticRounds)
            {
                // The whole unit runs again; what was claimed was rolled back with it.
            }

            db.ChangeTracker.Clear();
        }
    }

    private enum Outcome
    {
        Answered,
        LostRace,
        KeyTaken,
    }

    private async Task<(Outcome Outcome, Result<T>? Result)> TryOnce<TRead, T>(
        Id<Studio> studio, Id<Firing> firing, PlanChange<TRead, T> change, CancellationToken cancellation)
    {
        RoomSnapshot? snapshot;
        Result<TRead> read;
        await using (var reading = await db.Database.BeginTransactionAsync(IsolationLevel.RepeatableRead, cancellation))
        {
            snapshot = await db.ReadRoom(studio, firing, cancellation);
            if (snapshot is null) return (Outcome.Answered, NoSuchFiring());
            if (snapshot.Anew is { } onNew && !change.EvenIfFurnitureGone) return (Outcome.Answered, PlanAnew.Gone(onNew));
            read = await change.Read(snapshot, cancellation);
            await reading.CommitAsync(cancellation);
        }

        if (!read.TryGet(out var found, out var refusal)) return (Outcome.Answered, refusal);
        var decided = await gate.Decide(() => change.Decide(snapshot, found, false, cancellation), cancellation);
        if (decided is null) return (Outcome.Answered, Busy("Many bookings are being decided. Nothing was stored: ask again in a few seconds."));
        if (!decided.TryGet(out var decision, out refusal)) return (Outcome.Answered, refusal);
        await using var writing = await db.Database.BeginTransactionAsync(IsolationLevel.ReadCommitted, cancellation);
        return await Write(snapshot, found, decision, change, writing, cancellation);
    }

    /// <summary>After lost races: the row is locked, and only insertion is tried, so that progress is certain and the lock short.</summary>
    private async Task<(Outcome Outcome, Result<T>? Result)> TryLocked<TRead, T>(
        Id<Studio> studio, Id<Firing> firing, PlanChange<TRead, T> change, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(IsolationLevel.ReadCommitted, cancellation);
        await db.LockPlan(studio, firing, cancellation);
        var snapshot = await db.ReadRoom(studio, firing, cancellation);
        if (snapshot is null) return (Outcome.Answered, NoSuchFiring());
        if (snapshot.Anew is { } onNew && !change.EvenIfFurnitureGone) return (Outcome.Answered, PlanAnew.Gone(onNew));
        if (!(await change.Read(snapshot, cancellation)).TryGet(out var read, out var refusal)) return (Outcome.Answered, refusal);
        if (!change.Decide(snapshot, read, true, cancellation).TryGet(out var decision, out refusal)) return (Outcome.Answered, refusal);
        return await Write(snapshot, read, decision, change, writing, cancellation);
    }

    private async Task<(Outcome Outcome, Result<T>? Result)> Write<TRead, T>(
        RoomSnapshot snapshot, TRead read, BookingDecision decision, PlanChange<TRead, T> change,
        Microsoft.EntityFrameworkCore.Storage.IDbContextTransaction writing, CancellationToken cancellation)
    {
        var (studio, firing) = (snapshot.Firing.StudioId, snapshot.Firing.Id);
        var answer = change.Write(snapshot, read, decision);
        var location = change.LocationOf(answer);
        var status = location is null ? StatusCodes.Status200OK : StatusCodes.Status201Created;
        if (!await idempotency.Claim(status, answer, location, cancellation)) return (Outcome.KeyTaken, null);
        var mass = BookingDecision.MassOf(decision.Copies);
        if (!await db.TakeNextVersion(studio, firing, snapshot.Room.LoadVersion, mass, change.Allowed, cancellation)) return (Outcome.LostRace, null);
        var seen = new SeenVersions(snapshot.Firing.KilnId, snapshot.KilnVersion, snapshot.HouseRulesVersion, change.Seen);
        if (!await db.StillAsSeen(studio, seen, cancellation)) return (Outcome.LostRace, null);
        if (change.NewGround(snapshot, decision)) await db.KeepGround(studio, firing, cancellation);
        await db.WritePlan(studio, firing, decision.Plan, decision.Copies, cancellation);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        return (Outcome.Answered, answer);
    }

    private static Refusal NoSuchFiring() => new(RefusalKind.Absent, "request.not-found", "There is no such thing in your studio. Check the id.");

    private static Refusal Busy(string message) => new(RefusalKind.Busy, "bookings.busy", message);
}
