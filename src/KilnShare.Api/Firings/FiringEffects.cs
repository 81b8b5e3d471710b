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
    /// <summary>The ware is out: says how the firing came out and moves every copy of the real load as far as it did.</summary>
    public static async Task Unload(KilnShareDb db, Firing firing, FiringStateBody body, Id<Member> member, IClock clock, CancellationToken cancellation)
    {
        var outcome = body.Outcome ?? FiringOutcome.Sound;
        firing.UnloadedAt = clock.GetCurrentInstant();
        firing.CameOut(outcome, outcome == FiringOutcome.Sound ? null : await FiringHeat.Read(db, firing, body.Reached?.ToCore(), cancellation));
        var placed = await db.Set<LoadItem>()
            .Where(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id && i.Fate == LoadFate.Placed).ToListAsync(cancellation);
        var copies = await FiredCopies.Read(db, firing, placed, cancellation);
        var undone = new List<(Id<Piece> Piece, int Copy, int Step)>();
        foreach (var item in placed)
        {
            item.Before = copies.Now(item);
            if (!copies.Become(item, item.After(item.Before, firing), item.Before.Step)) undone.Add((item.PieceId, item.Copy, item.Before.Step));
        }

        await LaterSteps.Note(db, firing.StudioId, member, undone, clock, cancellation);
    }

    /// <summary>
    /// Withdraws every booking of a firing that will not happen, so that its ware may be booked elsewhere; what that costs goes into the books.
    /// </summary>
    public static async Task Release(KilnShareDb db, Firing firing, Id<Member> member, IClock clock, CancellationToken cancellation)
    {
        await db.Set<FiringLoad>().Where(l => l.StudioId == firing.StudioId && l.FiringId == firing.Id).ExecuteUpdateAsync(
            set => set.SetProperty(l => l.Accepting, false).SetProperty(l => l.LoadVersion, l => l.LoadVersion + 1)
                .SetProperty(l => l.BookedMassG, 0m), cancellation);
        var bookings = await db.Set<Booking>()
            .Where(b => b.StudioId == firing.StudioId && b.FiringId == firing.Id && b.State != BookingState.Withdrawn).ToListAsync(cancellation);
        await BookingMoney.ChargeCancellation(db, firing, bookings, clock.GetCurrentInstant(), cancellation);
        var ids = bookings.Select(b => b.Id).ToList();
        var copies = await db.Set<BookedCopy>().Where(c => c.StudioId == firing.StudioId && ids.Contains(c.BookingId)).ToListAsync(cancellation);
        await LaterSteps.Note(db, firing.StudioId, member, [.. copies.Select(c => (c.PieceId, c.Copy, c.Step))], clock, cancellation);
        LettingGo.Let(
            db, bookings, copies, $"The {await FiringWords.Named(db, firing, cancellation)} was called off. Book it in another firing.", member, clock);
    }
}
