using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Bookings;

/// <summary>A booking with its copies, tracked for change.</summary>
/// <param name="Booking">The booking.</param>
/// <param name="Copies">Its copies.</param>
public sealed record StoredBooking(Booking Booking, IReadOnlyList<BookedCopy> Copies)
{
    /// <summary>The copies apart from how they are stored, without places.</summary>
    public IReadOnlyList<HeldCopy> Held => [.. Copies.Select(c => new HeldCopy(c.BookingId, c.PieceId, c.Copy, c.Frozen, null))];

    /// <summary>Reads it; the booking exists.</summary>
    public static async Task<StoredBooking> Read(KilnShareDb db, Id<Studio> studio, Id<Booking> booking, CancellationToken cancellation) => new(
        await db.Set<Booking>().SingleAsync(b => b.StudioId == studio && b.Id == booking, cancellation),
        await db.Set<BookedCopy>().Where(c => c.StudioId == studio && c.BookingId == booking).ToListAsync(cancellation));
}
