using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Reserved room that a booking takes over, tracked for change.</summary>
public sealed class TakenReserve
{
    private readonly StoredBooking stored;
    private ReserveFilling? filling;

    private TakenReserve(StoredBooking stored) => this.stored = stored;

    /// <summary>The room that this booking names, or why it cannot be had.</summary>
    public static async Task<Result<TakenReserve>> Read(KilnShareDb db, Booking booking, Firing firing, IClock clock, CancellationToken cancellation)
    {
        var id = booking.ReserveId!.Value;
        if (!await db.Set<Booking>()
            .AnyAsync(b => b.StudioId == booking.StudioId && b.Id == id && b.FiringId == booking.FiringId && b.ReservedUntil != null, cancellation))
            return Refusal.Rule(
                "bookings.no-such-reserve", "No room was reserved in this firing under that id. Check the id, or book without it.", "/reserveId");
        var reserve = await StoredBooking.Read(db, booking.StudioId, id, cancellation);
        if (reserve.Booking.MemberId != booking.MemberId)
            return Refusal.Rule("bookings.reserve-of-another", "That room is kept for another member's pieces. Book without it.", "/reserveId");
        return ReservedRoom.IsKept(reserve.Booking, firing, clock.GetCurrentInstant()) ? new TakenReserve(reserve) : Refusal.Conflict(
            "bookings.reserve-gone", "That room is no longer kept: it was taken over or withdrawn, or its time is past. Book without it.", "/reserveId");
    }

    /// <summary>Which of these pieces stand where room was kept, and which must be found room.</summary>
    public ReserveFilling Fill(FiringRoom room, IReadOnlyList<HeldCopy> wanted) =>
        filling = ReserveFilling.Of([.. room.Held.Where(c => c.BookingId == stored.Booking.Id)], wanted);

    /// <summary>Gives up the room that the pieces of the last filling took; the rest is kept.</summary>
    public void Give(KilnShareDb db, Id<Member>? member, RoomSnapshot snapshot, IClock clock)
    {
        var gone = filling!.GivenUp.Select(c => (c.PieceId, c.Copy)).ToHashSet();
        ReserveRelease.Let(stored, c => gone.Contains((c.PieceId, c.Copy)));
        Trail.Note(db, stored.Booking.StudioId, member, "bookings.fill", stored.Booking.Id.Value, clock);
        if (snapshot.SomeoneWaits) db.Add(BookingRows.Promotion(snapshot.Firing.StudioId, snapshot.Firing.Id, clock));
    }
}
