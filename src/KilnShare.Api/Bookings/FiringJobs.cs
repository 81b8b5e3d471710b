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

    /// <summary>Does one.</summary>
    public Task Do(string kind, Id<Studio> studio, Id<Firing> firing, CancellationToken cancellation)
    {
        db.Studio = studio;
        return kind switch
        {
            Release => writer.Run(studio, firing, new ReserveRelease(db, clock), cancellation),
            Recheck => CheckAgain(studio, firing, cancellation),
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

    /// <summary>Confirms those who wait for room, first come first served: the first who does not fit ends it, unless the studio allows overtaking.</summary>
    private async Task Promote(Id<Studio> studioId, Id<Firing> firing, CancellationToken cancellation)
    {
        var studio = await db.Set<Studio>().AsNoTracking().SingleAsync(cancellation);
        var waiting = await db.Set<Booking>().AsNoTracking()
            .Where(b => b.StudioId == studioId && b.FiringId == firing && b.State == BookingState.Waiting && b.WaitsFor == WaitsFor.Room)
            .OrderByDescending(b => b.StayedBehind).ThenBy(b => b.CreatedAt).ThenBy(b => b.Id).Select(b => b.Id).ToListAsync(cancellation);
        foreach (var booking in waiting)
        {
            db.ChangeTracker.Clear();
            var result = await writer.Run(studioId, firing, new ConfirmationChange(db, memory, studioId, null, booking, null, clock), cancellation);
            if (result!.Refusal is not null && !studio.AllowsOvertaking) break;
        }
    }
}
