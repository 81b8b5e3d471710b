using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Bookings;

/// <summary>A booking with its copies, tracked for change.</summary>
/// <param name="Booking">The booking.</param>
/// <param name="Copies">Its copies.</param>
/// <param name="Approver">The name of who said yes to it; null where nobody did.</param>
public sealed record StoredBooking(Booking Booking, IReadOnlyList<BookedCopy> Copies, string? Approver)
{
    /// <summary>The copies apart from how they are stored, without places.</summary>
    public IReadOnlyList<HeldCopy> Held => [.. Copies.Select(c => new HeldCopy(c.BookingId, c.PieceId, c.Copy, c.Frozen, null))];

    /// <summary>Reads it; the booking exists.</summary>
    public static async Task<StoredBooking> Read(KilnShareDb db, Id<Studio> studio, Id<Booking> id, CancellationToken cancellation)
    {
        var booking = await db.Set<Booking>().SingleAsync(b => b.StudioId == studio && b.Id == id, cancellation);
        return new StoredBooking(
            booking, await db.Set<BookedCopy>().Where(c => c.StudioId == studio && c.BookingId == id).ToListAsync(cancellation),
            booking.ApprovedBy is { } by
                ? await db.Set<Member>().Where(m => m.StudioId == studio && m.Id == by).Select(m => m.Name).SingleAsync(cancellation) : null);
    }
}
