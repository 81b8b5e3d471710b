using KilnShare.Core.Bookings;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Common;

/// <summary>
/// What a caller is told who wrote the same thing as somebody else at the same moment and came second. A handler that can say more looks under a
/// lock; this is for every other place.
/// </summary>
public static class Collisions
{
    /// <summary>Keys that two callers may both find free: what each of them wrote is a thing that exists once.</summary>
    private static readonly HashSet<string> WrittenOnce = new(StringComparer.Ordinal)
    {
        "pk_house_rules", "pk_lighting_checks", "pk_firing_surcharges", "pk_unmetered_energy", "ix_outcome_studio_id_firing_id_piece_id_copy",
    };

    /// <summary>The answer to a lost race; null where the failure is something else.</summary>
    public static IResult? AnswerOf(Exception exception)
    {
        if (exception is DbUpdateConcurrencyException) return Changed();
        return Postgres.ConstraintOf(exception) switch
        {
            "ux_booked_copy_live" => Problems.Of(BookingAhead.AlreadyBooked("Ware in this booking", "its next firing", null)),
            { } constraint when WrittenOnce.Contains(constraint) => Written(),
            _ => null,
        };
    }

    private static IResult Changed() => Problems.Answer(
        409, "request.changed-meanwhile",
            "Somebody else changed this at the same moment, and nothing of yours was stored. Read it again, then send yours if it is still wanted.",
        null, null, null);

    private static IResult Written() => Problems.Answer(
        409, "request.written-meanwhile",
            "Somebody else wrote this down at the same moment, and yours was not stored. Read what stands there now, then send yours if it is still wanted.",
        null, null, null);
}
