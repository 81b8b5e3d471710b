using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Bookings;

/// <summary>The copies that were in a firing, with what they were booked for in it, to be moved on or back.</summary>
internal sealed class FiredCopies
{
    private readonly Dictionary<(Id<Piece> Piece, int Copy), PieceCopy> copies;
    private readonly Dictionary<(Id<Piece> Piece, int Copy), BookedCopy> booked;

    private FiredCopies(Dictionary<(Id<Piece> Piece, int Copy), PieceCopy> copies, Dictionary<(Id<Piece> Piece, int Copy), BookedCopy> booked) =>
        (this.copies, this.booked) = (copies, booked);

    /// <summary>Reads them, tracked for change.</summary>
    public static async Task<FiredCopies> Read(KilnShareDb db, Firing firing, IReadOnlyList<LoadItem> items, CancellationToken cancellation)
    {
        var ids = items.Select(i => i.PieceId).Distinct().ToList();
        var ware = await db.Set<PieceCopy>().Where(c => c.StudioId == firing.StudioId && ids.Contains(c.PieceId)).ToListAsync(cancellation);
        var live = await db.Set<BookedCopy>()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State != BookingState.Withdrawn && !c.IsRoom).ToListAsync(cancellation);
        return new FiredCopies(ware.ToDictionary(c => (c.PieceId, c.Copy)), live.ToDictionary(c => (c.PieceId, c.Copy)));
    }

    /// <summary>How far it has come by now.</summary>
    public CopyState Now(LoadItem item) => copies[(item.PieceId, item.Copy)].Now();

    /// <summary>It becomes what the firing made of it; false where that was not the step it was in for, which is then free to be booked again.</summary>
    public bool Become(LoadItem item, CopyState state, int step)
    {
        var done = state.Step > step;
        copies[(item.PieceId, item.Copy)].Become(state);
        if (booked.TryGetValue((item.PieceId, item.Copy), out var row)) row.Did(step, done);
        return done;
    }

    /// <summary>It was not in: it is as it was before, and its booking here is over.</summary>
    public void TakeOut(LoadItem item, CopyState before)
    {
        copies[(item.PieceId, item.Copy)].Become(before);
        if (!booked.TryGetValue((item.PieceId, item.Copy), out var row)) return;
        row.State = BookingState.Withdrawn;
        row.MoveTo(null);
    }
}
