using KilnShare.Api.Firings;
using KilnShare.Api.Studios;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Bookings;

/// <summary>Says of ware that is booked already which piece it is, and in which firing.</summary>
internal static class TakenCopies
{
    /// <summary>The refusal of one copy.</summary>
    public static Task<Refusal> Refuse(KilnShareDb db, Id<Studio> studio, Id<Piece> piece, int copy, Id<Firing> firing, CancellationToken cancellation) =>
        Refuse(db, db.Set<BookedCopy>().Where(c => c.StudioId == studio && c.PieceId == piece && c.Copy == copy && c.FiringId == firing), cancellation);

    /// <summary>The refusal of some of these pieces, after another booking was faster.</summary>
    public static Task<Refusal> Refuse(KilnShareDb db, Id<Studio> studio, IEnumerable<Guid> pieces, Id<Booking>? besides, CancellationToken cancellation)
    {
        var ids = pieces.Select(p => new Id<Piece>(p)).ToList();
        return Refuse(
            db, db.Set<BookedCopy>().Where(c => c.StudioId == studio && ids.Contains(c.PieceId) && (besides == null || c.BookingId != besides)), cancellation);
    }

    private static async Task<Refusal> Refuse(KilnShareDb db, IQueryable<BookedCopy> copies, CancellationToken cancellation)
    {
        var found = await (from copy in copies.AsNoTracking()
                           where copy.State != BookingState.Withdrawn && copy.Step >= 0
                           join firing in db.Set<Firing>() on new { copy.StudioId, Id = copy.FiringId } equals new { firing.StudioId, firing.Id }
                           join kiln in db.Set<Kiln>() on new { firing.StudioId, Id = firing.KilnId } equals new { kiln.StudioId, kiln.Id }
                           orderby copy.BookingId descending
                           select new { copy, firing, kiln }).FirstOrDefaultAsync(cancellation);
        if (found is null) return BookingAhead.AlreadyBooked("Ware in this booking", "its next firing", null);
        var zone = await StudioZone.Of(db, cancellation);
        return BookingAhead.AlreadyBooked(
            WareNames.CopyOf(found.copy.Frozen, found.copy.Copy), $"the {FiringWords.InKiln(found.firing, found.kiln, zone)}", found.firing.Id);
    }
}
