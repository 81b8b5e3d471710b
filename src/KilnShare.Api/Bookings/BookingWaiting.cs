using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Writes a booking down that waits: for room, or for a technician's yes.</summary>
internal static class BookingWaiting
{
    /// <summary>Answers 201 with the waiting booking.</summary>
    public static async Task<IResult> Write(
        BookingChange change, WaitsFor reason, Caller caller, KilnShareDb db, Idempotency idempotency, IClock clock, CancellationToken cancellation)
    {
        var wanted = change.Wanted!;
        db.ChangeTracker.Clear();
        wanted.Booking.Wait(reason);
        BookingRows.Add(db, wanted, BookingState.Waiting, caller, clock);
        // Room may have come free between the decision and this row, when nobody waited yet and nobody was told.
        if (reason == WaitsFor.Room) db.Add(BookingRows.Promotion(caller.StudioId, wanted.Booking.FiringId, clock));
        var answer = BookingAnswer.Of(wanted.Booking, wanted.Copies, 0, change.Findings);
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        var path = BookingEndpoints.PathOf(caller, answer);
        if (!await idempotency.Claim(StatusCodes.Status201Created, answer, path, cancellation)) return Idempotency.TakenMeanwhile;
        if (!await db.HoldOpen(caller.StudioId, wanted.Booking.FiringId, cancellation))
        {
            await writing.RollbackAsync(cancellation);
            var firing = await db.Set<Firing>().AsNoTracking().SingleAsync(f => f.StudioId == caller.StudioId && f.Id == wanted.Booking.FiringId, cancellation);
            return Problems.Of(await BookingChange.NotAccepting(db, firing, cancellation));
        }

        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        return TypedResults.Created(path, answer);
    }
}
