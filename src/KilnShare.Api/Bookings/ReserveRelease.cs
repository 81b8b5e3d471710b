using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Gives room back that is kept past its time, or in a firing that takes no more bookings: its owner can fill it no longer.</summary>
public sealed class ReserveRelease(KilnShareDb db, IClock clock) : PlanChange<IReadOnlyList<StoredBooking>, int>
{
    /// <inheritdoc/>
    public override WriteWhile Allowed => WriteWhile.Always;

    /// <inheritdoc/>
    public override bool EvenIfFurnitureGone => true;

    /// <inheritdoc/>
    public override async Task<Result<IReadOnlyList<StoredBooking>>> Read(RoomSnapshot snapshot, CancellationToken cancellation)
    {
        var firing = snapshot.Firing;
        var now = clock.GetCurrentInstant();
        var over = new List<StoredBooking>();
        foreach (var reserve in (await Kept(db, firing).ToListAsync(cancellation))
            .Where(r => firing.State == FiringState.Fixed || !ReservedRoom.IsKept(r, firing, now)))
            over.Add(await StoredBooking.Read(db, firing.StudioId, reserve.Id, cancellation));
        return over.Count > 0 && firing.State <= FiringState.Fixed ? over
            : Refusal.Conflict("bookings.nothing-to-release", "No room is kept past its time in this firing.", null);
    }

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, IReadOnlyList<StoredBooking> read, bool insertOnly, CancellationToken cancellation)
    {
        var over = read.Select(r => r.Booking.Id).ToHashSet();
        var decision = BookingDecision.Without(snapshot.Room, c => over.Contains(c.BookingId), BookingSearch.Of(snapshot), insertOnly, cancellation);
        // Nothing more comes into the room that was kept: what stays may have it.
        return snapshot.Firing.State == FiringState.Fixed ? PlanForHands.After(snapshot.Room, decision, cancellation) : decision;
    }

    /// <inheritdoc/>
    public override int Write(RoomSnapshot snapshot, IReadOnlyList<StoredBooking> read, BookingDecision decision)
    {
        foreach (var reserve in read)
        {
            Let(reserve, _ => true);
            Trail.Note(db, reserve.Booking.StudioId, null, "bookings.expire", reserve.Booking.Id.Value, clock);
        }

        if (snapshot.SomeoneWaits) db.Add(BookingRows.Promotion(snapshot.Firing.StudioId, snapshot.Firing.Id, clock));
        return read.Count;
    }

    /// <summary>Gives up all room that is still kept in a firing that is loaded.</summary>
    public static async Task LetAll(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        foreach (var id in await Kept(db, firing).Select(b => b.Id).ToListAsync(cancellation))
            Let(await StoredBooking.Read(db, firing.StudioId, id, cancellation), _ => true);
    }

    private static IQueryable<Booking> Kept(KilnShareDb db, Firing firing) => db.Set<Booking>().AsNoTracking()
        .Where(b => b.StudioId == firing.StudioId && b.FiringId == firing.Id && b.ReservedUntil != null && b.State == BookingState.Confirmed);

    /// <summary>Gives up copies of reserved room, and with the last of them the reserve.</summary>
    public static void Let(StoredBooking reserve, Func<BookedCopy, bool> which)
    {
        foreach (var copy in reserve.Copies.Where(which))
        {
            copy.State = BookingState.Withdrawn;
            copy.MoveTo(null);
        }

        if (reserve.Copies.All(c => c.State == BookingState.Withdrawn)) reserve.Booking.Withdraw();
        else reserve.Booking.Version++;
    }
}
