using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Studios;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Keeps room in a firing for a member's pieces that are not named yet: by size only, so no co-firing rule is asked.</summary>
public sealed class ReserveChange(KilnShareDb db, Caller caller, ReserveBody body, IClock clock)
    : PlanChange<WantedRoom, BookingAnswer>
{
    private readonly Id<Booking> bookingId = NewId.Of<Booking>(clock);

    /// <inheritdoc/>
    public override async Task<Result<WantedRoom>> Read(RoomSnapshot snapshot, CancellationToken cancellation) =>
        snapshot.Load.Accepting ? Want(snapshot, await StudioZone.Of(db, cancellation)) : await BookingChange.NotAccepting(db, snapshot.Firing, cancellation);

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, WantedRoom read, bool insertOnly, CancellationToken cancellation) =>
        snapshot.SomeoneWaits
            ? BookingChange.OthersWait : BookingDecision.FindRoom(snapshot.Room, read.Copies, [], BookingSearch.Of(snapshot), insertOnly, cancellation);

    /// <inheritdoc/>
    public override BookingAnswer Write(RoomSnapshot snapshot, WantedRoom read, BookingDecision decision)
    {
        read.Booking.Confirm();
        BookingRows.Add(db, read, BookingState.Confirmed, caller, clock, "bookings.reserve");
        db.Add(BookingRows.Release(caller.StudioId, snapshot.Firing.Id, read.Booking.ReservedUntil!.Value, clock));
        return BookingAnswer.Of(read.Booking, decision.Copies.Where(c => c.BookingId == bookingId), snapshot.Room.LoadVersion + 1, null);
    }

    /// <inheritdoc/>
    public override string LocationOf(BookingAnswer answer) => BookingEndpoints.PathOf(caller, answer);

    private Result<WantedRoom> Want(RoomSnapshot snapshot, DateTimeZone zone)
    {
        var now = clock.GetCurrentInstant();
        if (!ReservedRoom.Until(body.Until, snapshot.Firing, now, zone).TryGet(out var until, out var refusal)) return refusal;
        var copies = body.Room.SelectMany(CopiesOf).ToList();
        var kept = snapshot.Room.Held.Where(c => c.IsRoom && c.Frozen.MemberId == caller.MemberId).Select(c => c.Frozen);
        if (ReservedRoom.CheckLimits(kept, copies.Select(c => c.Frozen), snapshot.Room.Kiln.Chamber) is { } tooMuch) return tooMuch;
        var booking = new Booking(caller.StudioId, bookingId, snapshot.Firing.Id, caller.MemberId, now) { ReservedUntil = until };
        return new WantedRoom(booking, copies, [.. copies.Select(_ => 0)]);
    }

    private IEnumerable<HeldCopy> CopiesOf(RoomContract room)
    {
        var (size, frozen) = (NewId.Of<Piece>(clock), room.ToCore(caller.MemberId));
        return Enumerable.Range(0, room.Quantity).Select(copy => new HeldCopy(bookingId, size, copy, frozen, null)).ToList();
    }
}
