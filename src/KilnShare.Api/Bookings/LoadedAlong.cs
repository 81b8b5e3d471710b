using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>
/// Ware that went in without a booking is booked by its loading, in its owner's name: what is in a kiln is live there, and the database refuses it any
/// other place.
/// </summary>
internal static class LoadedAlong
{
    /// <summary>Makes the live copies of a firing those of its real load. What was booked and stayed behind is withdrawn already.</summary>
    /// <param name="db">The studio's rows.</param>
    /// <param name="firing">The firing.</param>
    /// <param name="placed">What went in.</param>
    /// <param name="steps">The step that each copy is in for; ware without one is left as it is.</param>
    /// <param name="member">Who loaded.</param>
    /// <param name="clock">The time.</param>
    /// <param name="cancellation">Stops it.</param>
    public static async Task Write(
        KilnShareDb db, Firing firing, IReadOnlyList<LoadItem> placed, IReadOnlyDictionary<(Id<Piece> Piece, int Copy), int> steps, Id<Member> member,
            IClock clock, CancellationToken cancellation)
    {
        var live = await db.Set<BookedCopy>()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State != BookingState.Withdrawn && !c.IsRoom).ToListAsync(cancellation);
        var inside = placed.Select(i => (i.PieceId, i.Copy)).ToHashSet();
        // Ware that waited and went in all the same is no longer waiting; what was loaded by an earlier list and is not on this one is not in.
        await Take(db, firing, [
            .. live.Where(c => inside.Contains((c.PieceId, c.Copy)) ? c.State == BookingState.Waiting : c.State == BookingState.Loaded)], cancellation);
        var booked = live.Where(c => c.State != BookingState.Withdrawn).Select(c => (c.PieceId, c.Copy)).ToHashSet();
        foreach (var own in placed.Where(i => !booked.Contains((i.PieceId, i.Copy)) && steps.ContainsKey((i.PieceId, i.Copy))).GroupBy(i => i.Frozen.MemberId))
        {
            var booking = new Booking(firing.StudioId, NewId.Of<Booking>(clock), firing.Id, own.Key, clock.GetCurrentInstant()) { State = BookingState.Loaded };
            db.Add(booking);
            db.AddRange(own.Select(i => new BookedCopy(
                firing.StudioId, firing.Id, i.PieceId, i.Copy, steps[(i.PieceId, i.Copy)], booking.Id, i.Frozen)
            { State = BookingState.Loaded }));
            Trail.Note(db, firing.StudioId, member, "bookings.loaded", booking.Id.Value, clock);
        }

        await db.SaveChangesAsync(cancellation);
    }

    /// <summary>The kiln is emptied again before it was lit: what was booked by loading is free.</summary>
    public static async Task Release(KilnShareDb db, Firing firing, CancellationToken cancellation) => await Take(
        db, firing,
        await db.Set<BookedCopy>().Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State == BookingState.Loaded)
            .ToListAsync(cancellation), cancellation);

    private static async Task Take(KilnShareDb db, Firing firing, List<BookedCopy> copies, CancellationToken cancellation)
    {
        if (copies.Count == 0) return;
        foreach (var copy in copies) copy.State = BookingState.Withdrawn;
        await db.SaveChangesAsync(cancellation);
        var ids = copies.Select(c => c.BookingId).Distinct().ToList();
        var empty = await db.Set<Booking>().Where(b => b.StudioId == firing.StudioId && ids.Contains(b.Id)
            && !db.Set<BookedCopy>().Any(c => c.StudioId == b.StudioId && c.BookingId == b.Id && c.State != BookingState.Withdrawn)).ToListAsync(cancellation);
        foreach (var booking in empty)
        {
            (booking.State, booking.WaitsFor) = (BookingState.Withdrawn, null);
            booking.Version++;
        }
    }
}
