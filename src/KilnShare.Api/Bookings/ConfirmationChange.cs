using KilnShare.Api.Common;
using KilnShare.Api.Costs;
using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>A waiting booking finds its place: a technician agreed (with a reason), or room was freed (without).</summary>
public sealed class ConfirmationChange(
    KilnShareDb db, LearntKilns memory, Id<Studio> studio, Id<Member>? technician, Id<Booking> bookingId, string? reason, IClock clock) : PlanChange<StoredBooking, BookingAnswer>
{
    private TakenReserve? reserve;
    private QuoteGround? ground;
    private BookingQuote? quote;

    /// <inheritdoc/>
    public override async Task<Result<StoredBooking>> Read(RoomSnapshot snapshot, CancellationToken cancellation)
    {
        var stored = await StoredBooking.Read(db, studio, bookingId, cancellation);
        if (stored.Booking.State != BookingState.Waiting)
            return Refusal.Conflict("bookings.not-waiting", $"This booking is {stored.Booking.State.ToString().ToLowerInvariant()}: there is nothing to say yes to.");
        if (!snapshot.Load.Accepting) return Refusal.Conflict("firings.not-accepting", "This firing takes no bookings now. Open it again first.");
        // Room that is no longer kept is no ground to refuse one who waits: then the pieces are found room like others.
        reserve = stored.Booking.ReserveId is not null && (await TakenReserve.Read(db, stored.Booking, snapshot.Firing, clock, cancellation)).TryGet(out var kept, out _) ? kept : null;
        ground = await QuoteGround.Read(db, memory, snapshot.Firing, cancellation);
        return stored;
    }

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, StoredBooking read, bool insertOnly, CancellationToken cancellation)
    {
        var findings = BookingDecision.FindingsOn(snapshot.Room, read.Held);
        var agreed = (reason ?? read.Booking.TechnicianReason) is not null;
        if (BookingDecision.CheckGate(findings, read.Booking.Accepts, agreed) is { } refusal) return refusal;
        var filling = reserve?.Fill(snapshot.Room, read.Held);
        var found = BookingDecision.FindRoom(filling?.In(snapshot.Room) ?? snapshot.Room, filling?.Others ?? read.Held, findings, BookingSearch.Of(snapshot), insertOnly, cancellation);
        quote = found.TryGet(out var decision, out _) ? BookingMoney.Quote(ground!, read.Booking, snapshot, decision, clock) : null;
        return found;
    }

    /// <inheritdoc/>
    public override BookingAnswer Write(RoomSnapshot snapshot, StoredBooking read, BookingDecision decision)
    {
        foreach (var copy in read.Copies) copy.State = BookingState.Confirmed;
        if (quote is not null) db.Add(quote);
        reserve?.Give(db, technician, snapshot, clock);
        read.Booking.State = BookingState.Confirmed;
        read.Booking.WaitsFor = null;
        read.Booking.TechnicianReason = reason ?? read.Booking.TechnicianReason;
        read.Booking.Version++;
        Trail.Note(db, studio, technician, reason is null ? "bookings.promote" : "bookings.approve", bookingId.Value, clock);
        return BookingAnswer.Of(read.Booking, decision.Copies.Where(c => c.BookingId == bookingId), snapshot.Room.LoadVersion + 1, decision.Findings);
    }
}
