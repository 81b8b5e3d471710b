using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Pieces;

/// <summary>What is told of pieces beside their own rows.</summary>
/// <param name="GlazeKinds">The sort of each glaze on them.</param>
/// <param name="Booked">What their copies are booked for.</param>
public sealed record PieceSurroundings(IReadOnlyDictionary<Id<StudioGlaze>, GlazeKind> GlazeKinds, ILookup<Id<Piece>, BookedCopy> Booked)
{
    /// <summary>Reads it for pieces of a studio.</summary>
    public static async Task<PieceSurroundings> Read(KilnShareDb db, Id<Studio> studio, IReadOnlyCollection<Piece> pieces, CancellationToken cancellation)
    {
        var glazes = pieces.SelectMany(p => p.Making.Layers).Select(l => l.GlazeId).Distinct().ToList();
        var kinds = glazes.Count == 0 ? [] : await db.Set<StudioGlaze>().AsNoTracking().Where(g => g.StudioId == studio && glazes.Contains(g.Id))
            .ToDictionaryAsync(g => g.Id, g => g.Glaze.Kind, cancellation);
        var ids = pieces.Select(p => p.Id).ToList();
        var booked = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == studio && ids.Contains(c.PieceId) && c.State != BookingState.Withdrawn).ToListAsync(cancellation);
        return new PieceSurroundings(kinds, booked.ToLookup(c => c.PieceId));
    }
}
