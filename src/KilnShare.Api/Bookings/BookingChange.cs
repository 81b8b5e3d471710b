using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Costs;
using KilnShare.Api.Energy;
using KilnShare.Api.Firings;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>What a booking adds to a firing.</summary>
/// <param name="Booking">The booking.</param>
/// <param name="Copies">Its copies.</param>
/// <param name="Steps">The step of its route that each copy takes here.</param>
public sealed record WantedRoom(Booking Booking, IReadOnlyList<HeldCopy> Copies, IReadOnlyList<int> Steps);

/// <summary>A new booking; where what fits is to be taken, two: one confirmed, and one that waits for the rest.</summary>
public sealed class BookingChange(
    KilnShareDb db, LearntKilns memory, Caller caller, BookingBody body, IClock clock) : PlanChange<WantedRoom, BookingAnswer>
{
    private readonly Id<Booking> bookingId = NewId.Of<Booking>(clock);
    private TakenReserve? reserve;
    private QuoteGround? ground;
    private BookingQuote? quote;
    private WhatFits? part;

    /// <summary>The ware wanted, as last read: for those who wait when there is no room.</summary>
    public WantedRoom? Wanted { get; private set; }

    /// <summary>What the rules said of it, as last asked.</summary>
    public IReadOnlyList<Finding> Findings { get; private set; } = [];

    /// <inheritdoc/>
    public override IReadOnlyCollection<CopyNow> Seen => seen;

    private IReadOnlyCollection<CopyNow> seen = [];

    /// <inheritdoc/>
    public override async Task<Result<WantedRoom>> Read(RoomSnapshot snapshot, CancellationToken cancellation)
    {
        if (!snapshot.Load.Accepting) return await NotAccepting(db, snapshot.Firing, cancellation);
        if (!(await WantedWare.Read(db, caller, snapshot.Firing, body.Pieces, _ => body.Ahead, null, cancellation)).TryGet(out var copies, out var refusal))
            return refusal;
        seen = [.. copies.Select(c => c.Now)];
        ground = await QuoteGround.Read(db, memory, snapshot.Firing, cancellation);
        var booking = NewBooking(bookingId, snapshot.Firing.Id, copies[0].Piece.MemberId);
        if (booking.ReserveId is not null && !(await TakenReserve.Read(db, booking, snapshot.Firing, clock, cancellation)).TryGet(out reserve, out refusal))
            return refusal;
        return Wanted = new WantedRoom(
            booking, [.. copies.Select(c => new HeldCopy(booking.Id, c.Piece.Id, c.Copy, c.Frozen, null))], [.. copies.Select(c => c.Step)]);
    }

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, WantedRoom read, bool insertOnly, CancellationToken cancellation)
    {
        (part, quote) = (null, null);
        Findings = BookingDecision.FindingsOn(snapshot.Room, read.Copies);
        if (BookingGate.Check(Findings, read.Copies, body.Accepts, technicianAgrees: false) is { } refusal) return refusal;
        var filling = reserve?.Fill(snapshot.Room, read.Copies);
        if (snapshot.SomeoneWaits && filling is not { Others.Count: 0 }) return OthersWait;
        var search = BookingSearch.Of(snapshot);
        var found = RoomFor(read.Copies, search);
        if (!found.TryGet(out var decision, out refusal))
        {
            if (read.Copies.Count == 1 || refusal.Values.GetValueOrDefault(BookingDecision.WaitingHelps) is not bool helps) return refusal;
            var placed = BookingDecision.Inserted(snapshot.Room, read.Copies, search, cancellation);
            var fits = WhatFits.Find(read.Copies, placed, insertOnly, some => RoomFor(some, search with { MakeRoomTries = 0 }));
            if (!body.TakeWhatFits || fits.Decision is null || !(helps || BookingDecision.MassOf(fits.Rest) <= snapshot.Room.Kiln.MassLimitG))
                return fits.Tell(refusal);
            (part, decision) = (fits, fits.Decision);
            reserve?.Fill(snapshot.Room, fits.Taken);
        }

        quote = BookingMoney.Quote(ground!, read.Booking, snapshot, decision, clock);
        return decision;

        Result<BookingDecision> RoomFor(IReadOnlyList<HeldCopy> copies, RoomSearch how)
        {
            var fill = reserve?.Fill(snapshot.Room, copies);
            var room = BookingDecision.FindRoom(fill?.In(snapshot.Room) ?? snapshot.Room, fill?.Others ?? copies, Findings, how, insertOnly, cancellation);
            // A search that was cut short found less than it would have: that is no answer.
            cancellation.ThrowIfCancellationRequested();
            return room;
        }
    }

    /// <inheritdoc/>
    public override BookingAnswer Write(RoomSnapshot snapshot, WantedRoom read, BookingDecision decision)
    {
        var rest = part is null ? null : RestOf(read, part.Rest);
        read.Booking.Confirm();
        BookingRows.Add(db, part is null ? read : Some(read, read.Booking, part.Taken), BookingState.Confirmed, caller, clock);
        if (rest is not null) BookingRows.Add(db, rest, BookingState.Waiting, caller, clock);
        if (quote is not null) db.Add(quote);
        reserve?.Give(db, caller.MemberId, snapshot, clock);
        return BookingAnswer.Of(read.Booking, decision.Copies.Where(c => c.BookingId == read.Booking.Id), snapshot.Room.LoadVersion + 1, decision.Findings) with
        {
            RestBookingId = rest?.Booking.Id.Value,
        };
    }

    /// <inheritdoc/>
    public override string LocationOf(BookingAnswer answer) => BookingEndpoints.PathOf(caller, answer);

    private Booking NewBooking(Id<Booking> id, Id<Firing> firing, Id<Member> member) => new(caller.StudioId, id, firing, member, clock.GetCurrentInstant())
    {
        Accepts = body.Accepts,
        ReserveId = body.ReserveId is { } named ? new Id<Booking>(named) : null,
    };

    private WantedRoom RestOf(WantedRoom read, IReadOnlyList<HeldCopy> copies)
    {
        var booking = NewBooking(NewId.Of<Booking>(clock), read.Booking.FiringId, read.Booking.MemberId);
        booking.Wait(WaitsFor.Room);
        return Some(read, booking, copies);
    }

    private static WantedRoom Some(WantedRoom read, Booking booking, IReadOnlyList<HeldCopy> copies)
    {
        var steps = read.Copies.Zip(read.Steps).ToDictionary(c => (c.First.PieceId, c.First.Copy), c => c.Second);
        return new WantedRoom(booking, [.. copies.Select(c => c with { BookingId = booking.Id })], [.. copies.Select(c => steps[(c.PieceId, c.Copy)])]);
    }

    internal static Refusal OthersWait => Refusal.Rule(
        "bookings.others-wait", "Others wait for room in this firing and come first. Book with mayWait to queue behind them, or choose another firing.");

    internal static async Task<Refusal> NotAccepting(KilnShareDb db, Firing firing, CancellationToken cancellation) => Refusal.Conflict(
        "firings.not-accepting",
        $"The {await FiringWords.Named(db, firing, cancellation)} is {FiringStates.Word(firing.State)} and takes no bookings. Choose a firing that is "
            + $"accepting, or ask a technician to open it.");
}

/// <summary>How hard bookings search; iterations, so that a refusal can be replayed anywhere.</summary>
internal static class BookingSearch
{
    private const long InsertIterations = 200;
    private const long FullIterations = 400;

    public static RoomSearch Of(RoomSnapshot snapshot) => new(unchecked((ulong)snapshot.Room.LoadVersion + 1), InsertIterations, FullIterations);
}
