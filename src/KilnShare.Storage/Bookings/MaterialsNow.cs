using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Bookings;

/// <summary>Booked ware by what its clays and glazes are known for now.</summary>
public static class MaterialsNow
{
    /// <summary>The copies with their clays and glazes as they are known now; a coat that the piece no longer has stays as it was booked.</summary>
    public static async Task<IReadOnlyList<HeldCopy>> WithMaterialsNow(
        this KilnShareDb db, Id<Studio> studio, IReadOnlyList<HeldCopy> held, CancellationToken cancellation)
    {
        var now = (await db.ReadCopies(studio, [.. held.Where(h => !h.IsRoom).Select(h => h.PieceId).Distinct()], cancellation))
            .GroupBy(c => c.Piece.Id).ToDictionary(c => c.Key, c => c.First());
        return [.. held.Select(copy => copy.Frozen.Ware is { } ware && now.TryGetValue(copy.PieceId, out var piece) && AsKnown(ware, piece) is { } known
            ? copy with { Frozen = copy.Frozen with { Ware = known } } : copy)];
    }

    /// <summary>The firings still to be loaded that hold ware of which this is true.</summary>
    public static async Task<IReadOnlyList<Id<Firing>>> FiringsWith(
        this KilnShareDb db, Id<Studio> studio, Func<PieceMaking, bool> isMadeSo, CancellationToken cancellation)
    {
        var booked = await (from copy in db.Set<BookedCopy>().AsNoTracking()
                            join firing in db.Set<Firing>() on new { copy.StudioId, Id = copy.FiringId } equals new { firing.StudioId, firing.Id }
                            join piece in db.Set<Piece>() on new { copy.StudioId, Id = copy.PieceId } equals new { piece.StudioId, piece.Id }
                            where copy.StudioId == studio && copy.State == BookingState.Confirmed && firing.State <= FiringState.Fixed
                            select new { firing.Id, piece.Making }).ToListAsync(cancellation);
        return [.. booked.Where(b => isMadeSo(b.Making)).Select(b => b.Id).Distinct()];
    }

    /// <summary>The ware as it is known now; null where that is as it was booked.</summary>
    private static Ware? AsKnown(Ware ware, CopyNow piece)
    {
        IReadOnlyList<Core.Materials.Glaze> glazes = [.. piece.Glazes.Select(g => g.Glaze)];
        var clay = piece.Clay.Body;
        var known = ware with
        {
            Clay = clay.Name == ware.Clay.Name ? clay : ware.Clay,
            Layers = [.. ware.Layers.Select((layer, i) => i < glazes.Count && glazes[i].Name == layer.Glaze.Name ? layer with { Glaze = glazes[i] } : layer)],
        };
        return JsonColumn.Write(known) == JsonColumn.Write(ware) ? null : known;
    }
}
