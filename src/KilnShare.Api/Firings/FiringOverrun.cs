using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>A kiln that is not free when it was planned to be: the next firing in it is marked, and its people are told.</summary>
internal static class FiringOverrun
{
    /// <summary>Marks the next firing where this one, lit or unloaded just now, reaches into its time.</summary>
    public static async Task Mark(KilnShareDb db, Caller caller, Firing firing, IClock clock, CancellationToken cancellation)
    {
        var free = firing.UnloadedAt ?? (firing.LitAt ?? clock.GetCurrentInstant()) + (firing.EndsAt - firing.StartsAt);
        var next = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == firing.StudioId && f.KilnId == firing.KilnId && f.StartsAt > firing.StartsAt && f.Id != firing.Id
                && (f.State == FiringState.Draft || f.State == FiringState.Accepting || f.State == FiringState.Fixed || f.State == FiringState.Loaded))
            .OrderBy(f => f.StartsAt).FirstOrDefaultAsync(cancellation);
        if (next is null || (free <= next.StartsAt && next.HeldUpById != firing.Id)) return;
        var (by, until) = free <= next.StartsAt ? ((Id<Firing>?)null, (Instant?)null) : (firing.Id, free);
        // Written past whoever edits or moves that firing at this moment: their version is raised, and neither loses what the other wrote.
        await db.Set<Firing>().Where(f => f.StudioId == next.StudioId && f.Id == next.Id).ExecuteUpdateAsync(
            set => set.SetProperty(f => f.HeldUpById, by).SetProperty(f => f.HeldUpUntil, until).SetProperty(f => f.Version, f => f.Version + 1), cancellation);
        if (by is null) return;
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.held-up", next.Id.Value, clock);
        var booked = await db.Set<Booking>().Where(b => b.StudioId == next.StudioId && b.FiringId == next.Id && b.State != BookingState.Withdrawn)
            .Select(b => b.Id).ToListAsync(cancellation);
        foreach (var booking in booked) Trail.Note(db, caller.StudioId, caller.MemberId, "bookings.held-up", booking.Value, clock);
    }
}
