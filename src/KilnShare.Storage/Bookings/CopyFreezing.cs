using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Bookings;

/// <summary>A copy of a piece as it is now, with the step of its route that comes next.</summary>
/// <param name="Piece">The piece.</param>
/// <param name="Copy">The copy.</param>
/// <param name="Materials">The clays and glazes it may be made of.</param>
public sealed record CopyNow(Piece Piece, PieceCopy Copy, CopyMaterials Materials)
{
    /// <summary>Its clay.</summary>
    public StudioClay Clay => Materials.ClayOf(Piece);

    /// <summary>Its glazes.</summary>
    public IEnumerable<StudioGlaze> Glazes => Materials.GlazesOf(Piece);

    /// <summary>As it goes into its next step, with the coats that are on by then.</summary>
    public FrozenCopy Frozen => FrozenFor(CopyRoute.Of(Piece.Making, Copy.Now(), Materials.KindOf).Next?.Kind ?? FiringKind.Glaze);

    /// <summary>As it goes into a firing of that kind now, with the coats that are on by then.</summary>
    public FrozenCopy FrozenFor(FiringKind kind) => Materials.Freeze(Piece, Copy.Now(), kind);

    /// <summary>As it is to go into a firing of that kind once these firings have been.</summary>
    public FrozenCopy FrozenAfter(IEnumerable<FiringAim> firings, FiringKind kind)
    {
        var later = Copy.Now();
        foreach (var aim in firings) later = FiringEffect.Whole(later, CoatsInTime.By(Piece.Making, later, aim.Kind, Materials.KindOf), aim.Kind, aim.Cone);
        return Materials.Freeze(Piece, later, kind);
    }
}

/// <summary>Takes copies of pieces down as they are, with their clay and glazes, for a booking or a load.</summary>
public static class CopyFreezing
{
    /// <summary>The copies of these pieces that exist in the studio.</summary>
    public static async Task<IReadOnlyList<CopyNow>> ReadCopies(
        this KilnShareDb db, Id<Studio> studio, IReadOnlyCollection<Id<Piece>> pieceIds, CancellationToken cancellation)
    {
        var ids = pieceIds.ToList();
        var pieces = await db.Set<Piece>().AsNoTracking().Where(p => p.StudioId == studio && ids.Contains(p.Id) && p.ArchivedAt == null)
            .ToListAsync(cancellation);
        var copies = await db.Set<PieceCopy>().AsNoTracking().Where(c => c.StudioId == studio && ids.Contains(c.PieceId)).ToListAsync(cancellation);
        var clayIds = pieces.Select(p => p.Making.ClayId).Distinct().ToList();
        var glazeIds = pieces.SelectMany(p => p.Making.Layers).Select(l => l.GlazeId).Distinct().ToList();
        var materials = new CopyMaterials(
            await db.Set<StudioClay>().AsNoTracking().Where(c => c.StudioId == studio && clayIds.Contains(c.Id)).ToDictionaryAsync(c => c.Id, cancellation),
            await db.Set<StudioGlaze>().AsNoTracking().Where(g => g.StudioId == studio && glazeIds.Contains(g.Id)).ToDictionaryAsync(g => g.Id, cancellation));
        var byPiece = copies.ToLookup(c => c.PieceId);
        return [.. from piece in pieces
                   from copy in byPiece[piece.Id].OrderBy(c => c.Copy)
                   select new CopyNow(piece, copy, materials)];
    }
}

/// <summary>Clays and glazes of a studio, to take copies down with.</summary>
public sealed class CopyMaterials(IReadOnlyDictionary<Id<StudioClay>, StudioClay> clays, IReadOnlyDictionary<Id<StudioGlaze>, StudioGlaze> glazes)
{
    /// <summary>The clay of a piece.</summary>
    public StudioClay ClayOf(Piece piece) => clays[piece.Making.ClayId];

    /// <summary>The glazes of a piece.</summary>
    public IEnumerable<StudioGlaze> GlazesOf(Piece piece) => piece.Making.Layers.Select(l => glazes[l.GlazeId]);

    /// <summary>The sort of coat that a layer is.</summary>
    public GlazeKind KindOf(PieceLayer layer) => glazes[layer.GlazeId].Glaze.Kind;

    /// <summary>What stands in no book of the studio's is brought in from outside, whether or not its maker says so.</summary>
    private bool IsOfOwnMaterial(PieceMaking making) =>
        clays[making.ClayId].MemberId is not null || making.Layers.Any(l => glazes[l.GlazeId].MemberId is not null);

    /// <summary>The copy as it is, with what is on it by a firing of that kind.</summary>
    public FrozenCopy Freeze(Piece piece, CopyState copy, FiringKind kind)
    {
        var making = piece.Making;
        var layers = making.Layers.Take(CoatsInTime.By(making, copy, kind, KindOf)).Select((layer, i) => new Layer(
            glazes[layer.GlazeId].Glaze, layer.Coats, layer.Where, i < copy.LayersFiredAt.Count ? copy.LayersFiredAt[i] : null)
        {
            AppliedBy = layer.AppliedBy,
            Batch = layer.Batch,
        }).ToList();
        var ware = new Ware(piece.Id.ToString(), copy.Stage, clays[making.ClayId].Body, layers)
        {
            BisquedAt = copy.BisquedAt,
            ForFood = making.ForFood,
            BareFootMm = making.BareFootMm,
            OnCatcher = making.OnCatcher,
            WallMm = making.WallMm,
            OnStilts = making.OnStilts,
            SingleFire = making.SingleFire,
            OutsideMaterial = making.OutsideMaterial || IsOfOwnMaterial(making),
            Tested = making.Tested,
            Release = making.Release,
            Lid = making.Lid,
            Steep = making.Steep,
            TestTile = making.TestTile,
            Dryness = copy.Dryness,
            DrySince = copy.DrySince,
            Owner = piece.MemberId.ToString(),
        };
        return new FrozenCopy(
            making.Name, making.Mark, piece.MemberId, making.Footprint, making.Height, making.MassG, making.MayTurn, ware)
        { TestWare = making.TestWare };
    }
}
