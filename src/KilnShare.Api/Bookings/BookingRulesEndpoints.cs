using KilnShare.Api.Access;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Common;
using KilnShare.Api.Hosting;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>What the rules say of a booking as of now.</summary>
public sealed record BookingFindingsAnswer
{
    /// <summary>The version of the plan that it was looked at beside.</summary>
    public required long LoadVersion { get; init; }

    /// <summary>The rules that ask the member and are not accepted yet.</summary>
    public required IReadOnlyList<string> MissingAccepts { get; init; }

    /// <summary>True where a technician's yes is still to be said.</summary>
    public required bool NeedsTechnician { get; init; }

    /// <summary>What the rules say.</summary>
    public required IReadOnlyList<FindingContract> Findings { get; init; }
}

/// <summary>What the rules say of a booking, and accepting it.</summary>
internal static class BookingRulesEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapBookingRules(this RouteGroupBuilder bookings)
    {
        bookings.MapGet("/{bookingId:guid}/findings", ReadFindings).WithName("readBookingFindings").Answers<BookingFindingsAnswer>().Refuses(409);
        bookings.MapPost("/{bookingId:guid}/accepts", Accept).WithName("acceptBookingRules").ClaimsKey().Answers<BookingAnswer>().Refuses(409);
    }

    /// <summary>Read what the rules say of a booking now</summary>
    /// <remarks>
    /// Asked anew, beside what the firing holds now and by what the studio knows of clays and glazes now; its size, its coats and its state are taken
    /// as they were booked.
    /// </remarks>
    private static async Task<IResult> ReadFindings(Guid firingId, Guid bookingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        await using var reading = await db.Database.BeginTransactionAsync(System.Data.IsolationLevel.RepeatableRead, cancellation);
        if (await BookingEndpoints.Find(db, caller, firingId, bookingId, cancellation) is not { } booking) return Problems.Absent();
        if (booking.State == BookingState.Withdrawn)
            return Problems.Of(
                Refusal.Conflict("bookings.is-withdrawn", "This booking is withdrawn, so the rules have nothing to say of it. Book the ware again."));
        var room = (await db.ReadRoom(caller.StudioId, booking.FiringId, cancellation))!.Room;
        var copies = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == caller.StudioId && c.BookingId == booking.Id && c.State != BookingState.Withdrawn && !c.IsRoom).ToListAsync(cancellation);
        IReadOnlyList<HeldCopy> its = [.. copies.Select(c => new HeldCopy(c.BookingId, c.PieceId, c.Copy, c.Frozen, null))];
        var now = await db.WithMaterialsNow(caller.StudioId, [.. room.Held.Where(c => c.BookingId != booking.Id), .. its], cancellation);
        var others = room with { Held = [.. now.SkipLast(its.Count)] };
        var findings = BookingDecision.FindingsOn(others, [.. now.TakeLast(its.Count)]);
        return TypedResults.Ok(new BookingFindingsAnswer
        {
            LoadVersion = room.LoadVersion,
            MissingAccepts = BookingGate.Missing(findings, booking.Accepts),
            NeedsTechnician = booking.TechnicianReason is null && findings.Any(f => f.Asks == Asks.Technician),
            Findings = [.. findings.Select(FindingContract.Of)],
        });
    }

    /// <summary>Accept what the rules ask while a booking waits</summary>
    /// <remarks>Adds to what was accepted before. A booking that waits for room is tried again at once.</remarks>
    private static async Task<IResult> Accept(
        Guid firingId, Guid bookingId, AcceptsBody body, Caller caller, KilnShareDb db, Idempotency idempotency, JobSignal jobs, IClock clock,
            CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        await db.LockPlan(caller.StudioId, new Id<Firing>(firingId), cancellation);
        if (await BookingEndpoints.Find(db, caller, firingId, bookingId, cancellation) is not { } booking) return Problems.Absent();
        if (caller.MayActFor(booking.MemberId) is { } notYours) return Problems.Of(notYours);
        if (booking.State != BookingState.Waiting) return Problems.Of(Refusal.Conflict(
            "bookings.not-waiting",
                $"This booking is {EnumWord<BookingState>.Of(booking.State)} and waits for nothing. Change it to accept other rules, or book the ware again."));
        db.Attach(booking);
        booking.Accepts = [.. booking.Accepts.Union(body.Accepts, StringComparer.Ordinal)];
        booking.Version++;
        if (booking.WaitsFor == WaitsFor.Room) db.Add(BookingRows.Promotion(caller.StudioId, booking.FiringId, clock));
        Trail.Note(db, caller.StudioId, caller.MemberId, "bookings.accept", bookingId, clock);
        await db.SaveChangesAsync(cancellation);
        var held = await HeldBookings.Read(db, caller, [booking], cancellation);
        var answer = held.Answer(booking);
        if (!await idempotency.Claim(StatusCodes.Status200OK, answer, null, cancellation)) return Idempotency.TakenMeanwhile;
        await writing.CommitAsync(cancellation);
        jobs.Ring();
        return TypedResults.Ok(answer);
    }
}
