using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Costs;
using KilnShare.Api.Hosting;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Bookings of a firing.</summary>
public static class BookingEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapBookings(this RouteGroupBuilder studio)
    {
        var bookings = studio.MapGroup("/firings/{firingId:guid}/bookings").WithTags("Bookings");
        bookings.MapPost("", Create).WithName("createBooking").Answers<BookingAnswer>(201).Refuses(409, 422, 503);
        bookings.MapGet("", List).WithName("listBookings").Answers<Page<BookingAnswer>>();
        bookings.MapGet("/{bookingId:guid}", Read).WithName("readBooking").Answers<BookingAnswer>();
        bookings.MapPost("/{bookingId:guid}/withdrawal", Withdraw).WithName("withdrawBooking").Answers<BookingAnswer>().Refuses(409, 503);
        bookings.MapPost("/{bookingId:guid}/approval", Approve).WithName("approveBooking").Answers<BookingAnswer>().Refuses(409, 422, 503);
    }

    /// <summary>Book room for ware</summary>
    /// <remarks>
    /// Accepted by replacing the firing's plan with one that holds the ware, or refused with the rules and the room behind it. What is not
    /// known to the kiln or to others makes the booking wait for a technician's yes. Needs an Idempotency-Key.
    /// </remarks>
    private static async Task<IResult> Create(
        Guid firingId, BookingBody body, Caller caller, HttpContext context, KilnShareDb db, Idempotency idempotency, PlanWriter writer, IClock clock,
        CancellationToken cancellation)
    {
        if (!Idempotency.Read(context, body).TryGet(out var key, out var refusal)) return Problems.Of(refusal);
        if (await idempotency.Replay(caller, key, cancellation) is { } before) return before;
        var change = new BookingChange(db, idempotency, key, caller, body, clock);
        try
        {
            if (await writer.Run(caller.StudioId, new Id<Firing>(firingId), change, cancellation) is not { } result)
                return (await idempotency.Replay(caller, key, cancellation))!;
            if (result.TryGet(out var answer, out refusal)) return TypedResults.Created(PathOf(caller, firingId, answer.Id), answer);
            if (WaitsFor(refusal, body) is { } reason) return await BookingWaiting.Write(change, reason, caller, key, db, idempotency, clock, cancellation);
            return Problems.Of(refusal);
        }
        catch (DbUpdateException e) when (Postgres.ConstraintOf(e) == "ux_booked_copy_live")
        {
            return Problems.Of(BookingChange.AlreadyBooked(null));
        }
    }

    /// <summary>List a firing's bookings</summary>
    private static async Task<IResult> List(
        Guid firingId, Caller caller, HttpContext context, KilnShareDb db, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var (firing, start) = (new Id<Firing>(firingId), new Id<Booking>(from));
        if (!await db.Set<Firing>().AnyAsync(f => f.StudioId == caller.StudioId && f.Id == firing, cancellation)) return Problems.Absent();
        var rows = await db.Set<Booking>().AsNoTracking()
            .Where(b => b.StudioId == caller.StudioId && b.FiringId == firing && EF.Functions.GreaterThan(ValueTuple.Create(b.Id), ValueTuple.Create(start)))
            .OrderBy(b => b.Id).Take(take + 1).ToListAsync(cancellation);
        var ids = rows.Select(b => b.Id).ToList();
        var copies = (await CopiesOf(db, caller, ids, cancellation)).ToLookup(c => c.BookingId);
        var version = await VersionOf(db, caller, firing, cancellation);
        var fees = await BookingMoney.FeesOf(db, caller.StudioId, ids, cancellation);
        return Pages.Answer(context, rows, take, b => b.Id.Value, b => BookingAnswer.Of(b, copies[b.Id], version, null, FeeOf(fees, b)));
    }

    /// <summary>Read a booking</summary>
    private static async Task<IResult> Read(
        Guid firingId, Guid bookingId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation)
    {
        if (await Find(db, caller, firingId, bookingId, cancellation) is not { } booking) return Problems.Absent();
        var copies = await CopiesOf(db, caller, [booking.Id], cancellation);
        var fees = await BookingMoney.FeesOf(db, caller.StudioId, [booking.Id], cancellation);
        return Versions.Ok(context, BookingAnswer.Of(booking, copies, await VersionOf(db, caller, booking.FiringId, cancellation), null, FeeOf(fees, booking)), booking.Version);
    }

    /// <summary>Take a booking back</summary>
    /// <remarks>Always succeeds until the kiln is loaded. Those who wait for room are tried at once. Withdrawing late may cost a fee by the studio's cost rules: it is charged once, with the withdrawal.</remarks>
    private static async Task<IResult> Withdraw(
        Guid firingId, Guid bookingId, Caller caller, KilnShareDb db, PlanWriter writer, JobSignal jobs, IClock clock, CancellationToken cancellation)
    {
        if (await Find(db, caller, firingId, bookingId, cancellation) is not { } booking) return Problems.Absent();
        if (caller.MayActFor(booking.MemberId) is { } notYours) return Problems.Of(notYours);
        var result = await writer.Run(caller.StudioId, booking.FiringId, new WithdrawalChange(db, caller, booking.Id, clock), cancellation);
        jobs.Ring();
        return result!.TryGet(out var answer, out var refusal) ? TypedResults.Ok(answer) : Problems.Of(refusal);
    }

    /// <summary>Say yes to a booking that waits for a technician</summary>
    private static async Task<IResult> Approve(
        Guid firingId, Guid bookingId, ApprovalBody body, Caller caller, KilnShareDb db, PlanWriter writer, IClock clock, CancellationToken cancellation)
    {
        if (await Find(db, caller, firingId, bookingId, cancellation) is not { } booking) return Problems.Absent();
        var change = new ConfirmationChange(db, caller.StudioId, caller.MemberId, booking.Id, body.Reason, clock);
        var result = await writer.Run(caller.StudioId, booking.FiringId, change, cancellation);
        return result!.TryGet(out var answer, out var refusal) ? TypedResults.Ok(answer) : Problems.Of(refusal);
    }

    private static long? FeeOf(Dictionary<Id<Booking>, long> fees, Booking booking) => fees.TryGetValue(booking.Id, out var minor) ? minor : null;

    private static WaitsFor? WaitsFor(Refusal refusal, BookingBody body) => refusal.Code switch
    {
        "cofiring.needs-technician" => Core.Bookings.WaitsFor.Technician,
        "loading.no-place-found" or "bookings.others-wait" when body.MayWait => Core.Bookings.WaitsFor.Room,
        "loading.cannot-fit" when body.MayWait && refusal.Message.Contains("beside what is booked", StringComparison.Ordinal) => Core.Bookings.WaitsFor.Room,
        _ => null,
    };

    private static Task<Booking?> Find(KilnShareDb db, Caller caller, Guid firingId, Guid bookingId, CancellationToken cancellation) =>
        db.Set<Booking>().AsNoTracking().SingleOrDefaultAsync(
            b => b.StudioId == caller.StudioId && b.Id == new Id<Booking>(bookingId) && b.FiringId == new Id<Firing>(firingId), cancellation);

    private static async Task<List<HeldCopy>> CopiesOf(KilnShareDb db, Caller caller, List<Id<Booking>> bookings, CancellationToken cancellation) =>
        [.. (await db.Set<BookedCopy>().AsNoTracking().Where(c => c.StudioId == caller.StudioId && bookings.Contains(c.BookingId)).ToListAsync(cancellation))
            .Select(c => new HeldCopy(c.BookingId, c.PieceId, c.Copy, c.Frozen, c.Place))];

    private static Task<long> VersionOf(KilnShareDb db, Caller caller, Id<Firing> firing, CancellationToken cancellation) =>
        db.Set<FiringLoad>().Where(l => l.StudioId == caller.StudioId && l.FiringId == firing).Select(l => l.LoadVersion).SingleAsync(cancellation);

    private static string PathOf(Caller caller, Guid firing, Guid booking) => $"/v1/studios/{caller.StudioId}/firings/{firing}/bookings/{booking}";
}
