using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Planning;

/// <summary>Copies of a piece that stand alike and wait for their next firing.</summary>
/// <param name="PieceId">The piece.</param>
/// <param name="Copies">Which copies.</param>
/// <param name="Ware">What the rules see of each of them.</param>
/// <param name="Frozen">One of them as it would be booked.</param>
internal sealed record WaitingWare(Id<Piece> PieceId, IReadOnlyList<int> Copies, Ware Ware, FrozenCopy Frozen)
{
    /// <summary>What waits in a studio and is not booked for its next step: the oldest pieces first, so many at most.</summary>
    public static async Task<IReadOnlyList<WaitingWare>> Read(KilnShareDb db, Id<Studio> studio, int most, CancellationToken cancellation)
    {
        var pieces = await db.Set<PieceCopy>().AsNoTracking()
            .Where(c => c.StudioId == studio && c.Stage != Stage.Lost && c.Stage != Stage.Finished
                && !db.Set<BookedCopy>()
                    .Any(b => b.StudioId == studio && b.PieceId == c.PieceId && b.Copy == c.Copy && b.Step == c.Step && b.State != BookingState.Withdrawn))
            .Select(c => new { c.PieceId, c.Copy }).OrderBy(c => c.PieceId).ThenBy(c => c.Copy).ToListAsync(cancellation);
        var free = pieces.Select(c => (c.PieceId, c.Copy)).ToHashSet();
        var now = await db.ReadCopies(studio, [.. free.Select(c => c.PieceId).Distinct().OrderBy(id => id.Value).Take(most)], cancellation);
        return [.. now.Where(c => free.Contains((c.Piece.Id, c.Copy.Copy)))
            .GroupBy(c => (c.Piece.Id, c.Copy.Stage, c.Copy.BisquedAt, Fired: string.Join(',', c.Copy.LayersFiredAt)))
            .Select((alike, i) => new WaitingWare(
                alike.Key.Id, [.. alike.Select(c => c.Copy.Copy)], alike.First().Frozen.FiredWare() with { Id = $"{alike.Key.Id}#{i}" }, alike.First().Frozen))
            .Where(w => w.Ware.Route.Next is not null).Take(most)];
    }
}
