using KilnShare.Core.Common;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Pieces;

/// <summary>Ware that broke before its next firing, and was not broken after all.</summary>
internal static class Breakage
{
    /// <summary>Lets the copies follow what happened to them; refuses what is booked, and what is not as is said. The caller holds the piece.</summary>
    public static Task<Refusal?> Follow(KilnShareDb db, Piece piece, IReadOnlyList<PieceCopy> copies, CustodyKind kind, CancellationToken cancellation) =>
        kind switch
        {
            CustodyKind.Broke => Break(db, piece, copies, cancellation),
            CustodyKind.FoundWhole => FindWhole(db, piece, copies, cancellation),
            _ => Task.FromResult<Refusal?>(null),
        };

    private static async Task<Refusal?> Break(KilnShareDb db, Piece piece, IReadOnlyList<PieceCopy> copies, CancellationToken cancellation)
    {
        if (copies.FirstOrDefault(c => c.Stage == Stage.Lost) is { } lost)
            return Refusal.Conflict("pieces.lost-already", $"{NameOf(piece, lost)} is lost already. Leave it out.", "/copies");
        if (await PieceEditEndpoints.FindBooking(db, piece, [.. copies.Select(c => c.Copy)], cancellation) is { } booked)
            return booked with { Pointer = "/copies" };
        foreach (var copy in copies) copy.Stage = Stage.Lost;
        piece.Version++; // a booking that is being decided looks at it
        return null;
    }

    private static async Task<Refusal?> FindWhole(KilnShareDb db, Piece piece, IReadOnlyList<PieceCopy> copies, CancellationToken cancellation)
    {
        var broke = await db.Set<CustodyEvent>().AsNoTracking()
            .Where(e => e.StudioId == piece.StudioId && e.PieceId == piece.Id && (e.Kind == CustodyKind.Broke || e.Kind == CustodyKind.FoundWhole))
                .OrderBy(e => e.Id).ToListAsync(cancellation);
        foreach (var copy in copies)
        {
            if (copy.Stage != Stage.Lost || broke.FindLast(e => e.Copy == copy.Copy) is not { Kind: CustodyKind.Broke, StageBefore: { } before })
                return Refusal.Conflict("pieces.not-broken",
                    $"{NameOf(piece, copy)} was not written down as broken here. What was lost in a firing is put right in its outcome.", "/copies");
            copy.Stage = before;
        }

        piece.Version++;
        return null;
    }

    private static string NameOf(Piece piece, PieceCopy copy) =>
        piece.Quantity > 1 ? $"Copy {copy.Copy + 1} of {piece.Making.Called()}" : piece.Making.Called();
}
