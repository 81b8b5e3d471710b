using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Tells the people of later bookings that something became of a step before.</summary>
internal static class LaterSteps
{
    /// <summary>Notes it for every live booking of these copies for a later step.</summary>
    public static async Task Note(
        KilnShareDb db, Id<Studio> studio, Id<Member>? member, IReadOnlyCollection<(Id<Piece> Piece, int Copy, int Step)> steps, IClock clock,
            CancellationToken cancellation)
    {
        if (steps.Count == 0) return;
        foreach (var booking in await db.ReadLaterBookings(studio, steps, cancellation))
            Trail.Note(db, studio, member, "bookings.doubt", booking.Value, clock);
    }
}
