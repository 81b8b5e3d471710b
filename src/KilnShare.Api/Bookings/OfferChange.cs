using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>
/// Offers a booking that waits the place that came free in a fixed firing, or takes back what is no longer there. The plan stays as it is: a
/// technician's yes changes it.
/// </summary>
/// <param name="db">The studio's rows.</param>
/// <param name="studio">The studio.</param>
/// <param name="bookingId">The booking.</param>
/// <param name="isNext">True where its turn has come.</param>
/// <param name="clock">The clock.</param>
public sealed class OfferChange(KilnShareDb db, Id<Studio> studio, Id<Booking> bookingId, bool isNext, IClock clock) : PlanChange<StoredBooking, bool>
{
    private bool fits;

    /// <summary>True where an offer stands after the change, or stood before and was left.</summary>
    public bool Stands => fits;

    /// <inheritdoc/>
    public override WriteWhile Allowed => WriteWhile.FixedToo;

    /// <inheritdoc/>
    public override async Task<Result<StoredBooking>> Read(RoomSnapshot snapshot, CancellationToken cancellation)
    {
        fits = false;
        var stored = await StoredBooking.Read(db, studio, bookingId, cancellation);
        return snapshot.Firing.State == FiringState.Fixed && stored.Booking.State == BookingState.Waiting ? stored : NothingToOffer;
    }

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, StoredBooking read, bool insertOnly, CancellationToken cancellation)
    {
        fits = isNext && Fits(snapshot, read, insertOnly, cancellation);
        return fits == read.Booking.OfferedAt is not null ? NothingToOffer : new BookingDecision(snapshot.Room.CurrentPlan(), snapshot.Room.Held, []);
    }

    /// <inheritdoc/>
    public override bool Write(RoomSnapshot snapshot, StoredBooking read, BookingDecision decision)
    {
        read.Booking.Offer(fits ? clock.GetCurrentInstant() : null);
        Trail.Note(db, studio, null, fits ? "bookings.offer" : "bookings.offer-gone", bookingId.Value, clock);
        return fits;
    }

    private static bool Fits(RoomSnapshot snapshot, StoredBooking read, bool insertOnly, CancellationToken cancellation)
    {
        var findings = BookingDecision.FindingsOn(snapshot.Room, read.Held);
        return BookingGate.Check(findings, read.Held, read.Booking.Accepts, read.Booking.TechnicianReason is not null) is null
            && BookingDecision.FindRoom(snapshot.Room, read.Held, findings, BookingSearch.Of(snapshot), insertOnly, cancellation).Refusal is null;
    }

    private static Refusal NothingToOffer => Refusal.Conflict("bookings.nothing-to-offer", "Nothing changes in what is offered to this booking.");
}
