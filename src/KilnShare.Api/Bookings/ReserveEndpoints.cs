using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Room reserved in a firing without pieces.</summary>
public static class ReserveEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapReserves(this RouteGroupBuilder studio) => studio.MapPost("/firings/{firingId:guid}/reserves", Reserve)
        .WithTags("Bookings").WithName("reserveRoom").ClaimsKey(isNeeded: true).Answers<BookingAnswer>(201).Refuses(409, 422, 503);

    /// <summary>Reserve room without pieces</summary>
    /// <remarks>
    /// Keeps room in the plan for nameless copies of a size, as a booking that ends by itself: at its time, when the firing is fixed, or when it is
    /// withdrawn. Room is kept for size only. Pieces take it over when they are booked with its id as reserveId; only then do the co-firing rules
    /// speak, and a refusal leaves the room kept. Costs nothing. Needs an Idempotency-Key.
    /// </remarks>
    private static async Task<IResult> Reserve(
        Guid firingId, ReserveBody body, Caller caller, KilnShareDb db, PlanWriter writer, IClock clock, CancellationToken cancellation)
    {
        var change = new ReserveChange(db, caller, body, clock);
        if (await writer.Run(caller.StudioId, new Id<Firing>(firingId), change, cancellation) is not { } result)
            return Idempotency.TakenMeanwhile;
        return result.TryGet(out var answer, out var refusal) ? TypedResults.Created(BookingEndpoints.PathOf(caller, answer), answer) : Problems.Of(refusal);
    }
}
