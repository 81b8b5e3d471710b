using KilnShare.Api.Common;
using KilnShare.Api.Firings;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Bookings whose firing is done without them: their ware is free again, the reason stands on them, and their people are told.</summary>
internal static class LettingGo
{
    /// <summary>
    /// Lets those go who still wait in a firing that is being loaded. The caller holds the firing's load row, so that nobody begins to wait
    /// meanwhile.
    /// </summary>
    public static async Task Waiting(KilnShareDb db, Firing firing, Id<Member> member, IClock clock, CancellationToken cancellation)
    {
        var waiting = await db.Set<Booking>()
            .Where(b => b.StudioId == firing.StudioId && b.FiringId == firing.Id && b.State == BookingState.Waiting).ToListAsync(cancellation);
        if (waiting.Count == 0) return;
        var ids = waiting.Select(b => b.Id).ToList();
        var copies = await db.Set<BookedCopy>().Where(c => c.StudioId == firing.StudioId && ids.Contains(c.BookingId) && c.State == BookingState.Waiting)
            .ToListAsync(cancellation);
        await LaterSteps.Note(db, firing.StudioId, member, [.. copies.Select(c => (c.PieceId, c.Copy, c.Step))], clock, cancellation);
        var name = await FiringWords.Named(db, firing, cancellation);
        foreach (var alike in waiting.GroupBy(b => b.WaitsFor))
        {
            var why = alike.Key == WaitsFor.Technician ? "no technician had said yes to it" : "no place had come free for it";
            var own = alike.Select(b => b.Id).ToHashSet();
            Let(db, [.. alike], [
                .. copies.Where(c => own.Contains(c.BookingId))], $"The {name} was loaded, and {why}. Book it in another firing.", member, clock);
        }
    }

    /// <summary>Lets these go.</summary>
    public static void Let(KilnShareDb db, IReadOnlyList<Booking> bookings, IReadOnlyList<BookedCopy> copies, string reason, Id<Member> member, IClock clock)
    {
        foreach (var copy in copies)
        {
            copy.State = BookingState.Withdrawn;
            copy.MoveTo(null);
        }

        foreach (var booking in bookings)
        {
            booking.LetGo(reason, clock.GetCurrentInstant());
            Trail.Note(db, booking.StudioId, member, "bookings.let-go", booking.Id.Value, clock);
        }
    }
}
