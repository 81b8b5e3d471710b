using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Costs;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>What a booking adds to a firing.</summary>
/// <param name="Booking">The booking.</param>
/// <param name="Copies">Its copies.</param>
/// <param name="Steps">The step of its route that each copy takes here.</param>
public sealed record WantedRoom(Booking Booking, IReadOnlyList<HeldCopy> Copies, IReadOnlyList<int> Steps);

/// <summary>A new booking.</summary>
public sealed class BookingChange(
    KilnShareDb db, Idempotency idempotency, IdempotencyKey key, Caller caller, BookingBody body, IClock clock) : PlanChange<WantedRoom, BookingAnswer>
{
    private readonly Id<Booking> bookingId = NewId.Of<Booking>(clock);

    /// <summary>The ware wanted, as last read: for those who wait when there is no room.</summary>
    public WantedRoom? Wanted { get; private set; }

    /// <summary>What the rules said of it, as last asked.</summary>
    public IReadOnlyList<Finding> Findings { get; private set; } = [];

    private QuoteGround? ground;
    private BookingQuote? quote;

    /// <inheritdoc/>
    public override async Task<Result<WantedRoom>> Read(RoomSnapshot snapshot, CancellationToken cancellation)
    {
        if (!snapshot.Load.Accepting) return NotAccepting(snapshot.Firing);
        var now = await db.ReadCopies(caller.StudioId, [.. body.Pieces.Select(p => new Id<Piece>(p.PieceId))], cancellation);
        if (!Choose(now).TryGet(out var chosen, out var refusal)) return refusal;
        if (await FindTaken(chosen, cancellation) is { } taken) return taken;
        var owner = chosen[0].Piece.MemberId;
        if (caller.MayActFor(owner) is { } notYours) return notYours;
        ground = await QuoteGround.Read(db, snapshot.Firing, cancellation);
        var booking = new Booking(caller.StudioId, bookingId, snapshot.Firing.Id, owner, clock.GetCurrentInstant()) { Accepts = body.Accepts };
        return Wanted = new WantedRoom(
            booking, [.. chosen.Select(c => new HeldCopy(booking.Id, c.Piece.Id, c.Copy.Copy, c.Frozen, null))], [.. chosen.Select(c => c.Copy.Step)]);
    }

    /// <inheritdoc/>
    public override Result<BookingDecision> Decide(RoomSnapshot snapshot, WantedRoom read, bool insertOnly, CancellationToken cancellation)
    {
        Findings = BookingDecision.FindingsOn(snapshot.Room, read.Copies);
        if (BookingDecision.CheckGate(Findings, body.Accepts, technicianAgrees: false) is { } refusal) return refusal;
        if (snapshot.SomeoneWaits)
            return Refusal.Rule("bookings.others-wait", "Others wait for room in this firing and come first. Book with mayWait to queue behind them, or choose another firing.");
        var found = BookingDecision.FindRoom(snapshot.Room, read.Copies, Findings, BookingSearch.Of(snapshot), insertOnly, cancellation);
        quote = found.TryGet(out var decision, out _) ? BookingMoney.Quote(ground!, read.Booking, decision.Copies, clock.GetCurrentInstant()) : null;
        return found;
    }

    /// <inheritdoc/>
    public override BookingAnswer Write(RoomSnapshot snapshot, WantedRoom read, BookingDecision decision)
    {
        read.Booking.State = BookingState.Confirmed;
        BookingRows.Add(db, read, BookingState.Confirmed, caller, clock);
        if (quote is not null) db.Add(quote);
        return BookingAnswer.Of(read.Booking, decision.Copies.Where(c => c.BookingId == read.Booking.Id), snapshot.Room.LoadVersion + 1, decision.Findings);
    }

    /// <inheritdoc/>
    public override Task<bool> Claim(BookingAnswer answer, CancellationToken cancellation) =>
        idempotency.Claim(caller, key, StatusCodes.Status201Created, answer, cancellation);

    private static Refusal NotAccepting(Firing firing) => Refusal.Conflict(
        "firings.not-accepting", $"This firing is {FiringStates.Word(firing.State)} and takes no bookings. Choose a firing that is accepting, or ask a technician to open it.");

    private Result<IReadOnlyList<CopyNow>> Choose(IReadOnlyList<CopyNow> now)
    {
        var chosen = new List<CopyNow>();
        for (var i = 0; i < body.Pieces.Count; i++)
        {
            var copies = now.Where(c => c.Piece.Id.Value == body.Pieces[i].PieceId).ToList();
            if (copies.Count == 0) return Refusal.Rule("bookings.no-such-piece", "There is no such piece in your studio. Write it down first, or check the id.", $"/pieces/{i}/pieceId");
            var wanted = body.Pieces[i].Copies is { } numbers ? copies.Where(c => numbers.Contains(c.Copy.Copy)).ToList() : copies;
            if (body.Pieces[i].Copies is { } asked && wanted.Count != asked.Count)
                return Refusal.Rule("bookings.no-such-copy", $"That piece has {copies.Count} copies, numbered from 0.", $"/pieces/{i}/copies");
            if (wanted.Find(c => c.Copy.Stage is Stage.Lost or Stage.Finished && c.Piece.Making.Layers.Count <= c.Copy.LayersFiredAt.Count) is { } done)
                return Refusal.Rule("bookings.nothing-to-fire", $"Copy {done.Copy.Copy} is {done.Copy.Stage.ToString().ToLowerInvariant()}: it needs no firing.", $"/pieces/{i}/copies");
            chosen.AddRange(wanted);
        }

        return chosen.Select(c => c.Piece.MemberId).Distinct().Count() == 1
            ? chosen : Refusal.Rule("bookings.two-members", "A booking holds ware of one member. Book each member's ware by itself.", "/pieces");
    }

    private async Task<Refusal?> FindTaken(IReadOnlyList<CopyNow> chosen, CancellationToken cancellation)
    {
        var ids = chosen.Select(c => c.Piece.Id).Distinct().ToList();
        var live = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == caller.StudioId && ids.Contains(c.PieceId) && c.State != BookingState.Withdrawn)
            .Select(c => new { c.PieceId, c.Copy, c.Step, c.FiringId }).ToListAsync(cancellation);
        var taken = live.Find(l => chosen.Any(c => c.Piece.Id == l.PieceId && c.Copy.Copy == l.Copy && c.Copy.Step == l.Step));
        return taken is null ? null : AlreadyBooked(taken.FiringId);
    }

    /// <summary>The refusal of a copy that is booked for this step already.</summary>
    public static Refusal AlreadyBooked(Id<Firing>? firing) => Refusal.Conflict(
        "pieces.already-booked", "A copy in this booking is booked for its next firing already. Withdraw that booking first, or name only the other copies.", "/pieces") with
    {
        Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["firingId"] = firing?.Value },
    };
}

/// <summary>How hard bookings search; iterations, so that a refusal can be replayed anywhere.</summary>
internal static class BookingSearch
{
    private const long InsertIterations = 200;
    private const long FullIterations = 400;

    public static RoomSearch Of(RoomSnapshot snapshot) => new(unchecked((ulong)snapshot.Room.LoadVersion + 1), InsertIterations, FullIterations);
}
