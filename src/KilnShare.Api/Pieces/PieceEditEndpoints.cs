using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Pieces;

/// <summary>Changing what a piece is made as, and putting pieces away.</summary>
public static class PieceEditEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapPieceEdits(this RouteGroupBuilder pieces)
    {
        pieces.MapPatch("/{pieceId:guid}", Change).WithName("editPiece").Edits<PieceMakingContract>().Answers<PieceAnswer>().Refuses(422);
        pieces.MapDelete("/{pieceId:guid}", Archive).WithName("archivePiece").Archives().Refuses(422);
    }

    /// <summary>Change a piece</summary>
    /// <remarks>
    /// Copies that are booked keep the facts they were booked with: change the booking to plan with the new ones. Dryness is set for all
    /// copies that are still greenware. Quantity, owner and stage are not changed here.
    /// </remarks>
    private static async Task<IResult> Change(
        Guid pieceId, MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await Find(db, caller, pieceId, cancellation) is not { } piece) return Problems.Absent();
        if (caller.MayActFor(piece.MemberId) is { } notYours) return Problems.Of(notYours);
        var copies = await db.Set<PieceCopy>().Where(c => c.StudioId == caller.StudioId && c.PieceId == piece.Id).ToListAsync(cancellation);
        var around = await PieceSurroundings.Read(db, caller.StudioId, [piece], cancellation);
        var edit = await editing.Read<PieceMakingContract>(context, piece, PieceAnswer.Of(piece, copies, around), patch, cancellation);
        if (!edit.TryGet(out var body, out var refused)) return refused;
        if (await PieceEndpoints.FindStranger(body, caller.StudioId, db, cancellation) is { } stranger) return Problems.Of(stranger);
        var making = body.ToCore();
        if (ChangesFiredLayers(piece.Making, making, copies)) return Problems.Of(Refusal.Rule(
            "pieces.layers-fired", "A layer that is fired already cannot be changed. Keep the fired layers as they are and add new ones after them.", "/layers"));
        piece.Making = making;
        foreach (var copy in copies.Where(c => c.Stage == Stage.Greenware)) (copy.Dryness, copy.DrySince) = (body.Dryness, body.DrySince);
        around = await PieceSurroundings.Read(db, caller.StudioId, [piece], cancellation);
        return await editing.Save(context, caller, piece, pieceId, "pieces.edit", () => PieceAnswer.Of(piece, copies, around), cancellation);
    }

    /// <summary>Put a piece away</summary>
    private static async Task<IResult> Archive(
        Guid pieceId, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await Find(db, caller, pieceId, cancellation) is not { } piece) return Problems.Absent();
        if (caller.MayActFor(piece.MemberId) is { } notYours) return Problems.Of(notYours);
        return await IsBooked(db, piece, cancellation)
            ? Problems.Of(Refusal.Rule("pieces.booked", "A copy of this piece is booked for a firing that is not unloaded yet. Withdraw the booking first."))
            : await editing.Archive(context, caller, piece, pieceId, "pieces.archive", cancellation);
    }

    private static bool ChangesFiredLayers(PieceMaking before, PieceMaking after, List<PieceCopy> copies)
    {
        var fired = Math.Min(copies.Max(c => c.LayersFiredAt.Count), before.Layers.Count);
        return fired > 0 && !before.Layers.Take(fired).SequenceEqual(after.Layers.Take(fired));
    }

    private static Task<bool> IsBooked(KilnShareDb db, Piece piece, CancellationToken cancellation) =>
        (from copy in db.Set<BookedCopy>()
         join firing in db.Set<Firing>() on new { copy.StudioId, copy.FiringId } equals new { firing.StudioId, FiringId = firing.Id }
         where copy.StudioId == piece.StudioId && copy.PieceId == piece.Id && copy.State != BookingState.Withdrawn
             && firing.State != FiringState.Unloaded && firing.State != FiringState.Settled && firing.State != FiringState.Cancelled
         select copy).AnyAsync(cancellation);

    private static async Task<Piece?> Find(KilnShareDb db, Caller caller, Guid pieceId, CancellationToken cancellation) =>
        await db.FindAsync<Piece>([caller.StudioId, new Id<Piece>(pieceId)], cancellation) is { ArchivedAt: null } piece ? piece : null;
}
