using KilnShare.Api.Bookings;
using KilnShare.Api.Costs;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>What a firing did to the ware that really went in.</summary>
internal static class FiringEffects
{
    /// <summary>Moves every copy of the real load on along its route.</summary>
    public static async Task Apply(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var placed = await db.Set<LoadItem>().AsNoTracking()
            .Where(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id && i.Fate == LoadFate.Placed).ToListAsync(cancellation);
        var pieceIds = placed.Select(i => i.PieceId).Distinct().ToList();
        var copies = await db.Set<PieceCopy>().Where(c => c.StudioId == firing.StudioId && pieceIds.Contains(c.PieceId)).ToListAsync(cancellation);
        foreach (var item in placed)
        {
            var copy = copies.Single(c => c.PieceId == item.PieceId && c.Copy == item.Copy);
            copy.MoveOn(firing.Aim.Cone, firing.Aim.Kind.StageAfter(copy.Stage), item.Frozen.FiredWare().Layers.Count);
        }
    }

    /// <summary>Withdraws every booking of a firing that will not happen, so that its ware may be booked elsewhere; what that costs goes into the books.</summary>
    public static async Task Release(KilnShareDb db, Firing firing, Id<Member> member, IClock clock, CancellationToken cancellation)
    {
        await db.Set<FiringLoad>().Where(l => l.StudioId == firing.StudioId && l.FiringId == firing.Id).ExecuteUpdateAsync(
            set => set.SetProperty(l => l.Accepting, false).SetProperty(l => l.LoadVersion, l => l.LoadVersion + 1).SetProperty(l => l.BookedMassG, 0m), cancellation);
        var bookings = await db.Set<Booking>()
            .Where(b => b.StudioId == firing.StudioId && b.FiringId == firing.Id && b.State != BookingState.Withdrawn).ToListAsync(cancellation);
        await BookingMoney.ChargeCancellation(db, firing, bookings, clock.GetCurrentInstant(), cancellation);
        var ids = bookings.Select(b => b.Id).ToList();
        var copies = await db.Set<BookedCopy>().Where(c => c.StudioId == firing.StudioId && ids.Contains(c.BookingId)).ToListAsync(cancellation);
        await LaterSteps.Note(db, firing.StudioId, member, [.. copies.Select(c => (c.PieceId, c.Copy, c.Step))], clock, cancellation);
        LettingGo.Let(db, bookings, copies, $"The {await FiringWords.Named(db, firing, cancellation)} was called off. Book it in another firing.", member, clock);
    }
}
