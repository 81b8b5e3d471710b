using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>What is done for a firing when nobody asks: freed room goes to those who wait, and room kept past its time is freed.</summary>
public sealed class FiringJobs(KilnShareDb db, PlanWriter writer, LearntKilns memory, IClock clock)
{
    /// <summary>Lets those who wait for room be tried again.</summary>
    public const string Promotion = "promote";

    /// <summary>Gives back room that is kept past its time.</summary>
    public const string Release = "release";

    /// <summary>Looks whether a plan stands on furniture that was changed.</summary>
    public const string Recheck = "recheck";

    /// <summary>Looks whether booked ware became doubtful by what a clay or a glaze is known for now.</summary>
    public const string RecheckWare = "recheck-ware";

    /// <summary>Does one.</summary>
    public Task Do(string kind, Id<Studio> studio, Id<Firing> firing, CancellationToken cancellation)
    {
        db.Studio = studio;
        return kind switch
        {
            Release => writer.Run(studio, firing, new ReserveRelease(db, clock), cancellation),
            Recheck => CheckAgain(studio, firing, cancellation),
            RecheckWare => CheckWareAgain(studio, firing, cancellation),
            _ => Promote(studio, firing, cancellation),
        };
    }

    /// <summary>Takes the mark off a plan that stands on the furniture that exists; of one that does not, its people are told.</summary>
    private async Task CheckAgain(Id<Studio> studio, Id<Firing> firing, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        await db.LockPlan(studio, firing, cancellation);
        if (await db.ReadRoom(studio, firing, cancellation) is not { MarkedAt: not null, Firing.State: <= FiringState.Fixed } snapshot) return;
        if (snapshot.Anew is null) await db.KeepGround(studio, firing, cancellation);
        else Trail.Note(db, studio, null, "firings.furniture-changed", firing.Value, clock);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
    }

    /// <summary>Unbooks nobody: where ware became doubtful, its people are told, and the plan says it for as long as it is so.</summary>
    private async Task CheckWareAgain(Id<Studio> studio, Id<Firing> firing, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(System.Data.IsolationLevel.RepeatableRead, cancellation);
        if (await db.ReadRoom(studio, firing, cancellation) is not { Firing.State: <= FiringState.Fixed } snapshot) return;
        if (WareDoubts.Of(snapshot.Room, await db.WithMaterialsNow(studio, snapshot.Room.Held, cancellation)).Count == 0) return;
        Trail.Note(db, studio, null, "firings.ware-in-doubt", firing.Value, clock);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
    }

    /// <summary>
    /// Gives room to those who wait for it, first come first served: the first who does not fit ends it, unless the studio allows overtaking.
    /// </summary>
    private async Task Promote(Id<Studio> studioId, Id<Firing> firing, CancellationToken cancellation)
    {
        var studio = await db.Set<Studio>().AsNoTracking().SingleAsync(s => s.StudioId == studioId, cancellation);
        var waiting = await db.Set<Booking>().AsNoTracking()
            .Where(b => b.StudioId == studioId && b.FiringId == firing && b.State == BookingState.Waiting && b.WaitsFor == WaitsFor.Room)
            .OrderByDescending(b => b.StayedBehind).ThenBy(b => b.CreatedAt).ThenBy(b => b.Id).ToListAsync(cancellation);
        if (await db.Set<Firing>().AnyAsync(f => f.StudioId == studioId && f.Id == firing && f.State == FiringState.Fixed, cancellation))
            await Offer(studio, firing, waiting, cancellation);
        else
            await Confirm(studio, firing, waiting, cancellation);
    }

    private async Task Confirm(Studio studio, Id<Firing> firing, List<Booking> waiting, CancellationToken cancellation)
    {
        // What was offered while the firing was fixed is no offer once it is open again.
        await db.Set<Booking>().Where(b => b.StudioId == studio.StudioId && b.FiringId == firing && b.OfferedAt != null)
            .ExecuteUpdateAsync(set => set.SetProperty(b => b.OfferedAt, (Instant?)null).SetProperty(b => b.Version, b => b.Version + 1), cancellation);
        foreach (var booking in waiting)
        {
            db.ChangeTracker.Clear();
            var result = await writer.Run(studio.StudioId, firing, new ConfirmationChange(db, memory, studio.StudioId, null, booking.Id, clock), cancellation);
            if (result!.Refusal is not null && !studio.AllowsOvertaking) break;
        }
    }

    /// <summary>In a fixed firing one place at a time is offered; the next one when a technician has said yes or the offer is withdrawn.</summary>
    private async Task Offer(Studio studio, Id<Firing> firing, List<Booking> waiting, CancellationToken cancellation)
    {
        var isNext = true;
        foreach (var booking in waiting.Where(b => isNext || b.OfferedAt is not null))
        {
            db.ChangeTracker.Clear();
            var offer = new OfferChange(db, studio.StudioId, booking.Id, isNext, clock);
            await writer.Run(studio.StudioId, firing, offer, cancellation);
            if (offer.Stands || !studio.AllowsOvertaking) isNext = false;
        }
    }
}
