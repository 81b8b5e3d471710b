using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Costs;
using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>What a booking adds to a firing.</summary>
/// <param name="Booking">The booking.</param>
/// <param name="Copies">Its copies.</param>
/// <param name="Steps">The step of its route that each copy takes here.</param>
public sealed record WantedRoom(Booking Booking, IReadOnlyList<HeldCopy> Copies, IReadOnlyList<int> Steps);

/// <summary>A new booking.</summary>
public sealed class BookingChange(
    KilnShareDb db, LearntKilns memory, Idempotency idempotency, IdempotencyKey key, Caller caller, BookingBody body, IClock clock) : PlanChange<WantedRoom, BookingAnswer>
{
    private readonly Id<Booking> bookingId = NewId.Of<Booking>(clock);

    /// <summary>The ware wanted, as last read: for those who wait when there is no room.</summary>
    public WantedRoom? Wanted { get; private set; }

    /// <summary>What the rules said of it, as last asked.</summary>
    public IReadOnlyList<Finding> Findings { get; private set; } = [];

    private TakenReserve? reserve;
    private QuoteGround? ground;
    private BookingQuote? quote;

    /// <inheritdoc/>
    public override IReadOnlyCollection<CopyNow> Seen => seen;

    private IReadOnlyCollection<CopyNow> seen = [];

    /// <inheritdoc/>
    public override async Task<Result<WantedRoom>> Read(RoomSnapshot snapshot, CancellationToken cancellation)
    {
        if (!snapshot.Load.Accepting) return NotAccepting(snapshot.Firing);
        if (!(await WantedWare.Read(db, caller, snapshot.Firing, body.Pieces, _ => body.Ahead, null, cancellation)).TryGet(out var copies, out var refusal)) return refusal;
        seen = [.. copies.Select(c => c.Now)];
        ground = await QuoteGround.Read(db, memory, snapshot.Firing, cancellation);
        var booking = new Booking(caller.StudioId, bookingId, snapshot.Firing.Id, copies[0].Piece.MemberId, clock.GetCurrentInstant())
        {
            Accepts = body.Accepts,
            ReserveId = body.ReserveId is { } named ? new Id<Booking>(named) : null,
        };
        if (booking.ReserveId is not null && !(await TakenReserve.Read(db, booking, snapshot.Firing, clock, cancellation)).TryGet(out reserve, out refusal)) return refusal;
        return Wanted = new WantedRoom(booking, [.. copies.Select(c => new HeldCopy(booking.Id, c.Piece.Id, c.Copy, c.Frozen, null))], [.. copies.Select(c => c.Step)]);
    }

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, WantedRoom read, bool insertOnly, CancellationToken cancellation)
    {
        Findings = BookingDecision.FindingsOn(snapshot.Room, read.Copies);
        if (BookingDecision.CheckGate(Findings, body.Accepts, technicianAgrees: false) is { } refusal) return refusal;
        var filling = reserve?.Fill(snapshot.Room, read.Copies);
        if (snapshot.SomeoneWaits && filling is not { Others.Count: 0 }) return OthersWait;
        var found = BookingDecision.FindRoom(filling?.In(snapshot.Room) ?? snapshot.Room, filling?.Others ?? read.Copies, Findings, BookingSearch.Of(snapshot), insertOnly, cancellation);
        quote = found.TryGet(out var decision, out _) ? BookingMoney.Quote(ground!, read.Booking, snapshot, decision, clock) : null;
        return found;
    }

    /// <inheritdoc/>
    public override BookingAnswer Write(RoomSnapshot snapshot, WantedRoom read, BookingDecision decision)
    {
        read.Booking.State = BookingState.Confirmed;
        BookingRows.Add(db, read, BookingState.Confirmed, caller, clock);
        if (quote is not null) db.Add(quote);
        reserve?.Give(db, caller.MemberId, snapshot, clock);
        return BookingAnswer.Of(read.Booking, decision.Copies.Where(c => c.BookingId == read.Booking.Id), snapshot.Room.LoadVersion + 1, decision.Findings);
    }

    /// <inheritdoc/>
    public override Task<bool> Claim(BookingAnswer answer, CancellationToken cancellation) =>
        idempotency.Claim(caller, key, StatusCodes.Status201Created, answer, cancellation);

    internal static Refusal OthersWait => Refusal.Rule(
        "bookings.others-wait", "Others wait for room in this firing and come first. Book with mayWait to queue behind them, or choose another firing.");

    internal static Refusal NotAccepting(Firing firing) => Refusal.Conflict(
        "firings.not-accepting", $"This firing is {FiringStates.Word(firing.State)} and takes no bookings. Choose a firing that is accepting, or ask a technician to open it.");
}

/// <summary>How hard bookings search; iterations, so that a refusal can be replayed anywhere.</summary>
internal static class BookingSearch
{
    private const long InsertIterations = 200;
    private const long FullIterations = 400;

    public static RoomSearch Of(RoomSnapshot snapshot) => new(unchecked((ulong)snapshot.Room.LoadVersion + 1), InsertIterations, FullIterations);
}
