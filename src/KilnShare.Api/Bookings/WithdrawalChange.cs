using KilnShare.Api.Common;
using KilnShare.Api.Costs;
using KilnShare.Api.Access;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Takes a booking out of a firing's plan; the rest stays where it is.</summary>
public sealed class WithdrawalChange(KilnShareDb db, Caller caller, Id<Booking> bookingId, IClock clock) : PlanChange<StoredBooking, BookingAnswer>
{
    private IReadOnlyList<Id<Booking>> later = [];

    /// <inheritdoc/>
    public override WriteWhile Allowed => WriteWhile.Always;

    /// <inheritdoc/>
    public override bool EvenIfFurnitureGone => true;

    private FeeTerms? terms;
    private FeeShown charged;

    /// <inheritdoc/>
    public override async Task<Result<StoredBooking>> Read(RoomSnapshot snapshot, CancellationToken cancellation)
    {
        if (snapshot.Firing.State > FiringState.Fixed)
            return Refusal.Conflict(
                "bookings.already-loaded", $"The firing is {FiringStates.Word(snapshot.Firing.State)}: what went in is written in its load. Ask a technician.");
        terms = await FeeTerms.Read(db, caller.StudioId, [bookingId], cancellation);
        charged = (await BookingMoney.FeesOf(db, caller, [bookingId], cancellation)).Values.SingleOrDefault();
        var stored = await StoredBooking.Read(db, caller.StudioId, bookingId, cancellation);
        later = await db.ReadLaterBookings(caller.StudioId, [.. stored.Copies.Select(c => (c.PieceId, c.Copy, c.Step))], cancellation);
        return stored;
    }

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, StoredBooking read, bool insertOnly, CancellationToken cancellation)
    {
        var room = snapshot.Room;
        return room.Held.Any(c => c.BookingId == bookingId)
            ? BookingDecision.Without(room, c => c.BookingId == bookingId, BookingSearch.Of(snapshot), insertOnly, cancellation)
            : new BookingDecision(room.CurrentPlan(), room.Held, []);
    }

    /// <inheritdoc/>
    public override BookingAnswer Write(RoomSnapshot snapshot, StoredBooking read, BookingDecision decision)
    {
        var (booking, copies, _) = read;
        if (booking.State != BookingState.Withdrawn)
        {
            ChargeFor(booking, snapshot.Firing);
            foreach (var copy in copies)
            {
                copy.State = BookingState.Withdrawn;
                copy.MoveTo(null);
            }

            booking.Withdraw();
            Trail.Note(db, caller.StudioId, caller.MemberId, "bookings.withdraw", bookingId.Value, clock);
            foreach (var booked in later) Trail.Note(db, caller.StudioId, caller.MemberId, "bookings.doubt", booked.Value, clock);
            if (snapshot.SomeoneWaits) db.Add(BookingRows.Promotion(caller.StudioId, booking.FiringId, clock));
        }

        return BookingAnswer.Of(booking, copies.Select(
            c => new HeldCopy(c.BookingId, c.PieceId, c.Copy, c.Frozen, null)), snapshot.Room.LoadVersion + 1, null, charged, read.Approver);
    }

    private void ChargeFor(Booking booking, Firing firing)
    {
        charged = default;
        if (BookingFee.OfWithdrawal(booking, terms!.Rules, terms.QuotedMinor(booking.Id), firing.StartsAt, clock.GetCurrentInstant()) is not { } fee) return;
        BookingMoney.Charge(db, fee, terms.Currency);
        charged = new FeeShown(fee.AmountMinor, null);
    }
}
