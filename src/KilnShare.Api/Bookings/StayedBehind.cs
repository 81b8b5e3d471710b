using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Ware that stayed behind waits at the head of the next firing that suits it.</summary>
internal static class StayedBehind
{
    private const int FiringsLookedAt = 5;

    /// <summary>
    /// Puts each booking's copies that stayed behind in the line of a later firing, where one suits. The copies are withdrawn from this one already.
    /// </summary>
    public static async Task Queue(KilnShareDb db, Firing firing, IReadOnlyList<BookedCopy> left, IClock clock, CancellationToken cancellation)
    {
        if (left.Count == 0) return;
        var later = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == firing.StudioId && f.State == FiringState.Accepting && f.StartsAt > firing.StartsAt)
            .OrderBy(f => f.StartsAt).ThenBy(f => f.Id).ToListAsync(cancellation);
        var rooms = new List<RoomSnapshot>();
        // Held open in the order of their times, after this one: two loadings never wait for each other.
        foreach (var next in later.Where(f => f.Aim.Kind == firing.Aim.Kind).Take(FiringsLookedAt))
        {
            if (await db.HoldOpen(firing.StudioId, next.Id, cancellation)) rooms.Add((await db.ReadRoom(firing.StudioId, next.Id, cancellation))!);
        }

        foreach (var copies in left.GroupBy(c => c.BookingId))
        {
            var before = await db.Set<Booking>().AsNoTracking().SingleAsync(b => b.StudioId == firing.StudioId && b.Id == copies.Key, cancellation);
            var booking = NewId.Of<Booking>(clock);
            List<HeldCopy> held = [.. copies.Select(c => new HeldCopy(booking, c.PieceId, c.Copy, c.Frozen, null))];
            if (rooms.Find(r => BookingGate.Check(
                BookingDecision.FindingsOn(r.Room, held), held, before.Accepts, before.TechnicianReason is not null) is null) is not { } next) continue;
            var queued = new Booking(
                firing.StudioId, booking, next.Firing.Id, before.MemberId, clock.GetCurrentInstant())
            { Accepts = before.Accepts, StayedBehind = true };
            queued.Wait(WaitsFor.Room);
            queued.ApproveAs(before);
            db.Add(queued);
            db.AddRange(copies.Select(
                c => new BookedCopy(firing.StudioId, next.Firing.Id, c.PieceId, c.Copy, c.Step, booking, c.Frozen) { State = BookingState.Waiting }));
            db.Add(BookingRows.Promotion(firing.StudioId, next.Firing.Id, clock));
            Trail.Note(db, firing.StudioId, null, "bookings.stayed-behind", booking.Value, clock);
        }
    }

    /// <summary>Takes ware that went in after all out of the line again; refuses what is booked elsewhere for the same step.</summary>
    public static async Task<Refusal?> Unqueue(
        KilnShareDb db, Firing firing, IReadOnlyCollection<(Id<Piece> Piece, int Copy, int Step)> placed, CancellationToken cancellation)
    {
        var ids = placed.Select(p => p.Piece).Distinct().ToList();
        var elsewhere = await db.Set<BookedCopy>()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId != firing.Id && ids.Contains(c.PieceId) && c.State != BookingState.Withdrawn)
                .ToListAsync(cancellation);
        foreach (var copies in elsewhere.Where(c => placed.Contains((c.PieceId, c.Copy, c.Step))).GroupBy(c => c.BookingId))
        {
            var booking = await db.Set<Booking>().SingleAsync(b => b.StudioId == firing.StudioId && b.Id == copies.Key, cancellation);
            if (booking is not { StayedBehind: true, State: BookingState.Waiting })
                return await TakenCopies.Refuse(db, firing.StudioId, copies.First().PieceId, copies.First().Copy, booking.FiringId, cancellation);
            foreach (var copy in copies) copy.State = BookingState.Withdrawn;
            if (await db.Set<BookedCopy>().CountAsync(
                c => c.StudioId == firing.StudioId && c.BookingId == booking.Id && c.State != BookingState.Withdrawn, cancellation) == copies.Count())
                booking.Withdraw();
            else booking.Version++;
        }

        return null;
    }
}
