using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Bookings;

/// <summary>Reads which firings copies are booked for.</summary>
public static class StepReading
{
    /// <summary>The live bookings of the copies of these pieces, but for one booking, by piece and copy.</summary>
    public static async Task<IReadOnlyList<KeyValuePair<(Id<Piece> Piece, int Copy), BookedStep>>> ReadBookedSteps(
        this KilnShareDb db, Id<Studio> studio, IReadOnlyCollection<Id<Piece>> pieces, Id<Booking>? besides, CancellationToken cancellation)
    {
        var ids = pieces.ToList();
        var rows = await (from copy in db.Set<BookedCopy>().AsNoTracking()
                          join firing in db.Set<Firing>().AsNoTracking() on new { copy.StudioId, Id = copy.FiringId } equals new { firing.StudioId, firing.Id }
                          where copy.StudioId == studio && ids.Contains(copy.PieceId) && copy.State != BookingState.Withdrawn
                              && (besides == null || copy.BookingId != besides)
                          select new { copy.PieceId, copy.Copy, copy.Step, firing }).ToListAsync(cancellation);
        return [.. rows.Select(r => KeyValuePair.Create(
            (r.PieceId, r.Copy), new BookedStep(r.Step, r.firing.Id, r.firing.Aim, r.firing.StartsAt, r.firing.UnloadedAt ?? r.firing.EndsAt)))];
    }

    /// <summary>The live bookings of copies for steps after these: what their people must hear when something becomes of the step before.</summary>
    public static async Task<IReadOnlyList<Id<Booking>>> ReadLaterBookings(
        this KilnShareDb db, Id<Studio> studio, IReadOnlyCollection<(Id<Piece> Piece, int Copy, int Step)> steps, CancellationToken cancellation)
    {
        var ids = steps.Select(s => s.Piece).Distinct().ToList();
        var live = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == studio && ids.Contains(c.PieceId) && c.State != BookingState.Withdrawn)
            .Select(c => new { c.PieceId, c.Copy, c.Step, c.BookingId }).ToListAsync(cancellation);
        return [.. live.Where(c => steps.Any(s => s.Piece == c.PieceId && s.Copy == c.Copy && s.Step < c.Step)).Select(c => c.BookingId).Distinct()];
    }
}
