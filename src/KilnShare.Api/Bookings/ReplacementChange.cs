using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Costs;
using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>What a booking holds and is to hold instead.</summary>
/// <param name="Stored">As it is.</param>
/// <param name="Copies">What it is to hold.</param>
/// <param name="Steps">The step of its route that each copy takes here.</param>
public sealed record Replacement(StoredBooking Stored, IReadOnlyList<HeldCopy> Copies, IReadOnlyList<int> Steps);

/// <summary>A booking holds other copies, or the same ones as they are now. Where that is refused, the booking stays as it was.</summary>
public sealed class ReplacementChange(KilnShareDb db, LearntKilns memory, Caller caller, Id<Booking> bookingId, BookingChangeBody body, IClock clock)
    : PlanChange<Replacement, BookingAnswer>
{
    private QuoteGround? ground;
    private BookingQuote? quote;

    /// <inheritdoc/>
    public override IReadOnlyCollection<CopyNow> Seen => seen;

    private IReadOnlyCollection<CopyNow> seen = [];

    /// <inheritdoc/>
    public override async Task<Result<Replacement>> Read(RoomSnapshot snapshot, CancellationToken cancellation)
    {
        var stored = await StoredBooking.Read(db, caller.StudioId, bookingId, cancellation);
        if (stored.Booking.ReservedUntil is not null)
            return Refusal.Conflict(
                "bookings.is-reserve", "This is room reserved without pieces. Book pieces with its id as reserveId, or withdraw it and reserve anew.");
        if (stored.Booking.State != BookingState.Confirmed)
            return Refusal.Conflict("bookings.not-confirmed",
                $"This booking is {EnumWord<BookingState>.Of(stored.Booking.State)} and holds no room yet. Withdraw it and book again.");
        if (!snapshot.Load.Accepting) return await BookingChange.NotAccepting(db, snapshot.Firing, cancellation);
        var holds = stored.Copies.Where(c => c.State == BookingState.Confirmed).ToLookup(c => (c.PieceId, c.Copy));
        var pieces = body.Pieces ?? [.. holds.SelectMany(c => c).GroupBy(c => c.PieceId)
            .Select(p => new WishedPieceContract { PieceId = p.Key.Value, Copies = [.. p.Select(c => c.Copy)], Wish = p.First().Frozen.Wish })];
        if (!(await WantedWare.Read(db, caller, snapshot.Firing, pieces, c => holds.Contains((c.Piece.Id, c.Copy.Copy)), bookingId, cancellation))
            .TryGet(out var copies, out var refusal)) return refusal;
        seen = [.. copies.Select(c => c.Now)];
        ground = await QuoteGround.Read(db, memory, snapshot.Firing, cancellation);
        return copies[0].Piece.MemberId == stored.Booking.MemberId
            ? new Replacement(stored, [.. copies.Select(c => new HeldCopy(bookingId, c.Piece.Id, c.Copy, c.Frozen, null))], [.. copies.Select(c => c.Step)])
            : Refusal.Rule("bookings.two-members", "A booking holds ware of one member. Book the other member's ware by itself.", "/pieces");
    }

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, Replacement read, bool insertOnly, CancellationToken cancellation)
    {
        var room = snapshot.Room with { Held = [.. snapshot.Room.Held.Where(c => c.BookingId != bookingId)] };
        var findings = BookingDecision.FindingsOn(room, read.Copies);
        if (BookingGate.Check(findings, read.Copies, Accepts(read), caller.Plans && body.Reason is not null) is { } refusal) return refusal;
        var found = BookingDecision.FindRoom(room, read.Copies, findings, BookingSearch.Of(snapshot), insertOnly, cancellation);
        quote = found.TryGet(out var decision, out _) ? BookingMoney.Quote(ground!, read.Stored.Booking, snapshot, decision, clock) : null;
        return found;
    }

    /// <inheritdoc/>
    public override BookingAnswer Write(RoomSnapshot snapshot, Replacement read, BookingDecision decision)
    {
        var (booking, old, _) = read.Stored;
        foreach (var copy in old)
        {
            copy.State = BookingState.Withdrawn;
            copy.MoveTo(null);
        }

        for (var i = 0; i < read.Copies.Count; i++)
        {
            var held = read.Copies[i];
            if (old.FirstOrDefault(c => c.PieceId == held.PieceId && c.Copy == held.Copy) is { } kept) kept.TakeDown(read.Steps[i], held.Frozen);
            else db.Add(kept = new BookedCopy(caller.StudioId, booking.FiringId, held.PieceId, held.Copy, read.Steps[i], bookingId, held.Frozen));
            kept.State = BookingState.Confirmed;
        }

        if (quote is not null) db.Add(quote);
        booking.Accepts = Accepts(read);
        var agrees = caller.Plans && body.Reason is not null;
        if (agrees) booking.Approve(caller.MemberId, body.Reason!, clock.GetCurrentInstant());
        booking.Version++;
        Trail.Note(db, caller.StudioId, caller.MemberId, "bookings.change", bookingId.Value, clock);
        if (snapshot.SomeoneWaits) db.Add(BookingRows.Promotion(caller.StudioId, booking.FiringId, clock));
        return BookingAnswer.Of(booking, decision.Copies.Where(
            c => c.BookingId == bookingId), snapshot.Room.LoadVersion + 1, decision.Findings, approver: agrees ? caller.Name : read.Stored.Approver);
    }

    private IReadOnlyList<string> Accepts(Replacement read) => body.Accepts ?? read.Stored.Booking.Accepts;
}
