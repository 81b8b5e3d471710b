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
    /// <summary>True where the change may be made though bookings are closed: a withdrawal.</summary>
    public virtual bool EvenIfClosed => false;

    /// <summary>Reads what it needs, as of the same instant as the room.</summary>
    public abstract Task<Result<TRead>> Read(RoomSnapshot snapshot, CancellationToken cancellation);

    /// <summary>Decides on the next plan; pure, no connection is held.</summary>
    public abstract Result<BookingDecision> Decide(RoomSnapshot snapshot, TRead read, bool insertOnly, CancellationToken cancellation);

    /// <summary>Adds the rows of the change and gives the answer.</summary>
    public abstract T Write(RoomSnapshot snapshot, TRead read, BookingDecision decision);

    /// <summary>Claims the caller's key for the answer; false when another request has it.</summary>
    public virtual Task<bool> Claim(T answer, CancellationToken cancellation) => Task.FromResult(true);
}

/// <summary>Replaces plan V by plan V + 1 (see DEVELOPERS.md, "How a booking is decided"): read, decide without a connection, write in a few ms.</summary>
public sealed class PlanWriter(KilnShareDb db, SearchGate gate, FiringQueue queue)
{
    private const int OptimisticRounds = 3;

    /// <summary>Makes the change. Null: the caller's key was claimed by another request meanwhile, replay its answer.</summary>
    public async Task<Result<T>?> Run<TRead, T>(Id<Studio> studio, Id<Firing> firing, PlanChange<TRead, T> change, CancellationToken cancellation)
    {
        using var turn = await queue.Enter(firing, cancellation);
        if (turn is null) return Busy("Many bookings for this firing are being decided. Try again in a few seconds with the same Idempotency-Key.");
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
            read = await change.Read(snapshot, cancellation);
            await reading.CommitAsync(cancellation);
        }

        if (!read.TryGet(out var found, out var refusal)) return (Outcome.Answered, refusal);
        var decided = await gate.Decide(() => change.Decide(snapshot, found, false, cancellation), cancellation);
        if (decided is null) return (Outcome.Answered, Busy("Many bookings are being decided. Try again in a few seconds with the same Idempotency-Key."));
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
        if (!await change.Claim(answer, cancellation)) return (Outcome.KeyTaken, null);
        var mass = BookingDecision.MassOf(decision.Copies);
        if (!await db.TakeNextVersion(studio, firing, snapshot.Room.LoadVersion, mass, change.EvenIfClosed, cancellation)) return (Outcome.LostRace, null);
        await db.WritePlan(studio, firing, decision.Plan, decision.Copies, cancellation);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        return (Outcome.Answered, answer);
    }

    private static Refusal NoSuchFiring() => new(RefusalKind.Absent, "request.not-found", "There is no such thing in your studio. Check the id.");

    private static Refusal Busy(string message) => new(RefusalKind.Busy, "bookings.busy", message);
}
