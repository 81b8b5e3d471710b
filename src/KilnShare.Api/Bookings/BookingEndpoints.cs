using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Api.Hosting;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
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
        bookings.MapPost("", Create).WithName("createBooking").ClaimsKey(isNeeded: true).Answers<BookingAnswer>(201).Refuses(409, 422, 503);
        studio.MapGet("/bookings", FindAll).WithTags("Bookings").WithName("findBookings").Answers<Page<BookingAnswer>>();
        bookings.MapGet("", List).WithName("listBookings").Answers<Page<BookingAnswer>>();
        bookings.MapGet("/{bookingId:guid}", Read).WithName("readBooking").Answers<BookingAnswer>();
        bookings.MapPost("/{bookingId:guid}/withdrawal", Withdraw).WithName("withdrawBooking").ClaimsKey().Answers<BookingAnswer>().Refuses(409, 503);
        bookings.MapPost("/{bookingId:guid}/change", Change).WithName("changeBooking").ClaimsKey().Answers<BookingAnswer>().Refuses(409, 422, 503);
        bookings.MapBookingRules();
        bookings.MapPost("/{bookingId:guid}/approval", Approve).WithName("approveBooking").ClaimsKey().Answers<BookingAnswer>().Refuses(409, 422, 503);
    }

    /// <summary>Book room for ware</summary>
    /// <remarks>
    /// Accepted by replacing the firing's plan with one that holds the ware, or refused with the rules and the room behind it. What is not
    /// known to the kiln or to others makes the booking wait for a technician's yes; what the rules ask the member must be accepted before that,
    /// or nothing is written. Where several copies do not all fit, values.fits of the refusal says how many do. Needs an Idempotency-Key.
    /// </remarks>
    private static async Task<IResult> Create(
        Guid firingId, BookingBody body, Caller caller, KilnShareDb db, LearntKilns memory, Idempotency idempotency, PlanWriter writer, IClock clock,
        CancellationToken cancellation)
    {
        var change = new BookingChange(db, memory, caller, body, clock);
        try
        {
            if (await writer.Run(caller.StudioId, new Id<Firing>(firingId), change, cancellation) is not { } result)
                return Idempotency.TakenMeanwhile;
            if (result.TryGet(out var answer, out var refusal)) return TypedResults.Created(PathOf(caller, answer), answer);
            if (WaitsFor(refusal, body) is { } reason) return await BookingWaiting.Write(change, reason, caller, db, idempotency, clock, cancellation);
            return Problems.Of(refusal);
        }
        catch (DbUpdateException e) when (Postgres.ConstraintOf(e) == "ux_booked_copy_live")
        {
            return Problems.Of(await TakenCopies.Refuse(db, caller.StudioId, body.Pieces.Select(p => p.PieceId), null, cancellation));
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
        var held = await HeldBookings.Read(db, caller, rows, cancellation);
        return Pages.Answer(context, rows, take, b => b.Id.Value, held.Answer);
    }

    /// <summary>Find bookings in all firings</summary>
    /// <remarks>The oldest first. memberId: whose they are; waitsFor: those that wait, and for what. Both must hold where both are given.</remarks>
    private static async Task<IResult> FindAll(
        Caller caller, HttpContext context, KilnShareDb db, Guid? memberId, QueryWord<WaitsFor>? waitsFor, string? after, int? limit,
            CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var start = new Id<Booking>(from);
        var query = db.Set<Booking>().AsNoTracking().Where(b => b.StudioId == caller.StudioId);
        if (memberId is { } member) query = query.Where(b => b.MemberId == new Id<Member>(member));
        if (waitsFor is { } reason) query = query.Where(b => b.WaitsFor == reason.Value);
        var rows = await query.Where(b => EF.Functions.GreaterThan(ValueTuple.Create(b.Id), ValueTuple.Create(start)))
            .OrderBy(b => b.Id).Take(take + 1).ToListAsync(cancellation);
        var held = await HeldBookings.Read(db, caller, rows, cancellation);
        return Pages.Answer(context, rows, take, b => b.Id.Value, held.Answer);
    }

    /// <summary>Read a booking</summary>
    private static async Task<IResult> Read(
        Guid firingId, Guid bookingId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation)
    {
        if (await Find(db, caller, firingId, bookingId, cancellation) is not { } booking) return Problems.Absent();
        var held = await HeldBookings.Read(db, caller, [booking], cancellation);
        return Versions.Ok(context, held.Answer(booking), booking.Version);
    }

    /// <summary>Take a booking back</summary>
    /// <remarks>
    /// Always succeeds until the kiln is loaded, also for who still waits. Those who wait for room are tried at once. Withdrawing late may cost a fee
    /// by the studio's cost rules: it is charged once, with the withdrawal.
    /// </remarks>
    private static async Task<IResult> Withdraw(
        Guid firingId, Guid bookingId, Caller caller, KilnShareDb db, PlanWriter writer, JobSignal jobs, IClock clock, CancellationToken cancellation)
    {
        if (await Find(db, caller, firingId, bookingId, cancellation) is not { } booking) return Problems.Absent();
        if (caller.MayActFor(booking.MemberId) is { } notYours) return Problems.Of(notYours);
        var result = await writer.Run(caller.StudioId, booking.FiringId, new WithdrawalChange(db, caller, booking.Id, clock), cancellation);
        jobs.Ring();
        return AnswerOf(result);
    }

    /// <summary>Change a booking</summary>
    /// <remarks>
    /// Holds other copies, or the same ones as their pieces are now (size, clay, glazes). Checked like a new booking; where it is refused, the
    /// booking stays as it was.
    /// </remarks>
    private static async Task<IResult> Change(
        Guid firingId, Guid bookingId, BookingChangeBody body, Caller caller, KilnShareDb db, LearntKilns memory, PlanWriter writer, JobSignal jobs,
            IClock clock, CancellationToken cancellation)
    {
        if (await Find(db, caller, firingId, bookingId, cancellation) is not { } booking) return Problems.Absent();
        if (caller.MayActFor(booking.MemberId) is { } notYours) return Problems.Of(notYours);
        try
        {
            var result = await writer.Run(caller.StudioId, booking.FiringId, new ReplacementChange(db, memory, caller, booking.Id, body, clock), cancellation);
            jobs.Ring();
            return AnswerOf(result);
        }
        catch (DbUpdateException e) when (Postgres.ConstraintOf(e) == "ux_booked_copy_live")
        {
            return Problems.Of(await TakenCopies.Refuse(db, caller.StudioId, body.Pieces?.Select(p => p.PieceId) ?? [], booking.Id, cancellation));
        }
    }

    /// <summary>Say yes to a booking that waits</summary>
    /// <remarks>
    /// To ware of which something is not known, or to a place that came free in a fixed firing and is offered (offeredAt). Who said yes stands on the
    /// booking.
    /// </remarks>
    private static async Task<IResult> Approve(
        Guid firingId, Guid bookingId, ApprovalBody body, Caller caller, KilnShareDb db, LearntKilns memory, PlanWriter writer, JobSignal jobs, IClock clock,
            CancellationToken cancellation)
    {
        if (await Find(db, caller, firingId, bookingId, cancellation) is not { } booking) return Problems.Absent();
        var change = new ConfirmationChange(db, memory, caller.StudioId, new Yes(caller.MemberId, caller.Name, body.Reason), booking.Id, clock);
        var result = await writer.Run(caller.StudioId, booking.FiringId, change, cancellation);
        jobs.Ring();
        return AnswerOf(result);
    }

    private static IResult AnswerOf(Result<BookingAnswer>? result) =>
        result is null ? Idempotency.TakenMeanwhile : result.TryGet(out var answer, out var refusal) ? TypedResults.Ok(answer) : Problems.Of(refusal);

    private static WaitsFor? WaitsFor(Refusal refusal, BookingBody body) => refusal.Code switch
    {
        BookingGate.NeedsTechnician => Core.Bookings.WaitsFor.Technician,
        "bookings.others-wait" when body.MayWait || body.TakeWhatFits => Core.Bookings.WaitsFor.Room,
        "loading.no-place-found" or "loading.cannot-fit" or "loading.too-heavy" when (body.MayWait || body.TakeWhatFits)
            && refusal.Values.GetValueOrDefault(BookingDecision.WaitingHelps) is true => Core.Bookings.WaitsFor.Room,
        _ => null,
    };

    internal static Task<Booking?> Find(KilnShareDb db, Caller caller, Guid firingId, Guid bookingId, CancellationToken cancellation) =>
        db.Set<Booking>().AsNoTracking().SingleOrDefaultAsync(
            b => b.StudioId == caller.StudioId && b.Id == new Id<Booking>(bookingId) && b.FiringId == new Id<Firing>(firingId), cancellation);

    internal static string PathOf(Caller caller, BookingAnswer booking) => $"/v1/studios/{caller.StudioId}/firings/{booking.FiringId}/bookings/{booking.Id}";
}
