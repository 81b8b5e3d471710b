using KilnShare.Api.Common;
using KilnShare.Api.Costs;
using KilnShare.Api.Energy;
using KilnShare.Api.Firings;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>A technician's yes to a booking that waits.</summary>
/// <param name="Technician">Who says it.</param>
/// <param name="Name">The technician's name.</param>
/// <param name="Reason">Why.</param>
public sealed record Yes(Id<Member> Technician, string Name, string Reason);

/// <summary>A waiting booking finds its place: a technician said yes, or room was freed (without one).</summary>
public sealed class ConfirmationChange(
    KilnShareDb db, LearntKilns memory, Id<Studio> studio, Yes? yes, Id<Booking> bookingId, IClock clock) : PlanChange<StoredBooking, BookingAnswer>
{
    /// <inheritdoc/>
    public override WriteWhile Allowed => yes is null ? WriteWhile.Accepting : WriteWhile.FixedToo;

    private TakenReserve? reserve;
    private QuoteGround? ground;
    private BookingQuote? quote;

    /// <inheritdoc/>
    public override async Task<Result<StoredBooking>> Read(RoomSnapshot snapshot, CancellationToken cancellation)
    {
        var stored = await StoredBooking.Read(db, studio, bookingId, cancellation);
        var (booking, ware) = (stored.Booking, WareNames.Of(stored.Held));
        if (booking.State != BookingState.Waiting)
            return Refusal.Conflict(
                "bookings.not-waiting", $"The booking of {ware} is {EnumWord<BookingState>.Of(booking.State)}: there is nothing to say yes to.");
        var isFixed = yes is not null && snapshot.Firing.State == FiringState.Fixed;
        if (!snapshot.Load.Accepting && !isFixed) return await BookingChange.NotAccepting(db, snapshot.Firing, cancellation);
        if (isFixed && booking is { WaitsFor: WaitsFor.Room, OfferedAt: null }) return Refusal.Conflict(
            "bookings.nothing-offered",
                $"The {await FiringWords.Named(db, snapshot.Firing, cancellation)} is fixed, and no place in it is offered to {ware}: none came free, or "
                    + $"another comes first. Open the firing again to decide otherwise.");
        // Room that is no longer kept is no ground to refuse one who waits: then the pieces are found room like others.
        reserve = stored.Booking.ReserveId is not null
            && (await TakenReserve.Read(db, stored.Booking, snapshot.Firing, clock, cancellation)).TryGet(out var kept, out _) ? kept : null;
        ground = await QuoteGround.Read(db, memory, snapshot.Firing, cancellation);
        return stored;
    }

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, StoredBooking read, bool insertOnly, CancellationToken cancellation)
    {
        var findings = BookingDecision.FindingsOn(snapshot.Room, read.Held);
        var agreed = yes is not null || read.Booking.TechnicianReason is not null;
        if (BookingGate.Check(findings, read.Held, read.Booking.Accepts, agreed) is { } refusal) return refusal with { Pointer = null };
        var filling = reserve?.Fill(snapshot.Room, read.Held);
        var found = BookingDecision.FindRoom(
            filling?.In(snapshot.Room) ?? snapshot.Room, filling?.Others ?? read.Held, findings, BookingSearch.Of(snapshot), insertOnly, cancellation);
        quote = found.TryGet(out var decision, out _) ? BookingMoney.Quote(ground!, read.Booking, snapshot, decision, clock) : null;
        return found;
    }

    /// <inheritdoc/>
    public override BookingAnswer Write(RoomSnapshot snapshot, StoredBooking read, BookingDecision decision)
    {
        foreach (var copy in read.Copies) copy.State = BookingState.Confirmed;
        if (quote is not null) db.Add(quote);
        reserve?.Give(db, yes?.Technician, snapshot, clock);
        read.Booking.Confirm();
        if (yes is not null) read.Booking.Approve(yes.Technician, yes.Reason, clock.GetCurrentInstant());
        read.Booking.Version++;
        Trail.Note(db, studio, yes?.Technician, yes is null ? "bookings.promote" : "bookings.approve", bookingId.Value, clock);
        if (snapshot.SomeoneWaits && !snapshot.Load.Accepting) db.Add(BookingRows.Promotion(studio, snapshot.Firing.Id, clock));
        return BookingAnswer.Of(read.Booking, decision.Copies.Where(
            c => c.BookingId == bookingId), snapshot.Room.LoadVersion + 1, decision.Findings, approver: yes?.Name ?? read.Approver);
    }
}
