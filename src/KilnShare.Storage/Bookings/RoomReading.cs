using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Studios;
using KilnShare.Storage.Firings;
using KilnShare.Storage.Outcomes;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Bookings;

/// <summary>A firing's room with the state it was read in.</summary>
/// <param name="Firing">The firing.</param>
/// <param name="Load">Its load row.</param>
/// <param name="Room">What a decision is made on.</param>
/// <param name="SomeoneWaits">True while entries wait for room.</param>
public sealed record RoomSnapshot(Firing Firing, FiringLoad Load, FiringRoom Room, bool SomeoneWaits);

/// <summary>Reads a firing, its kiln and its published plan as of one instant.</summary>
public static class RoomReading
{
    private const int OutcomesThatCount = 500;

    /// <summary>The room; null when there is no such firing. To be called inside one repeatable-read transaction, or under the row's lock.</summary>
    public static async Task<RoomSnapshot?> ReadRoom(this KilnShareDb db, Id<Studio> studio, Id<Firing> firingId, CancellationToken cancellation)
    {
        if (await db.Set<Firing>().AsNoTracking().SingleOrDefaultAsync(f => f.StudioId == studio && f.Id == firingId, cancellation) is not { } firing) return null;
        var load = await db.Set<FiringLoad>().AsNoTracking().SingleAsync(l => l.StudioId == studio && l.FiringId == firingId, cancellation);
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == studio && k.Id == firing.KilnId, cancellation);
        var held = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == studio && c.FiringId == firingId && c.State == BookingState.Confirmed).ToListAsync(cancellation);
        var shelves = await db.Set<PlanShelf>().AsNoTracking()
            .Where(s => s.StudioId == studio && s.FiringId == firingId).OrderBy(s => s.ShelfNo).ToListAsync(cancellation);
        var posts = await db.Set<PlanPost>().AsNoTracking()
            .Where(p => p.StudioId == studio && p.FiringId == firingId).OrderBy(p => p.PostNo).ToListAsync(cancellation);
        var waits = await db.Set<Booking>().AnyAsync(
            b => b.StudioId == studio && b.FiringId == firingId && b.State == BookingState.Waiting && b.WaitsFor == WaitsFor.Room, cancellation);
        var room = new FiringRoom(
            firing.Aim, kiln.Making, kiln.Furniture, firing.StartsAt,
            [.. held.Select(c => new HeldCopy(c.BookingId, c.PieceId, c.Copy, c.Frozen, c.Place))],
            [.. shelves.Select(ShelfOf)], [.. posts.Select(PostOf)], load.LoadVersion)
        {
            HouseRules = await db.Set<StudioHouseRules>().AsNoTracking().Where(r => r.StudioId == studio).Select(r => r.Rules).SingleOrDefaultAsync(cancellation),
            Levels = (await db.ReadLevels(studio, kiln.Id, cancellation)).Levels,
            Evidence = EvidenceTable.ForRules(await db.ReadSeenOutcomes(studio, OutcomesThatCount, cancellation)),
        };
        return new RoomSnapshot(firing, load, room, waits);
    }

    private static PlacedShelf ShelfOf(PlanShelf s) =>
        new(s.ShelfNo, s.ShelfId, new Length(s.X), new Length(s.Y), s.RotationThousandths, new Length(s.Top), new Length(s.ClearAbove), s.AreaUse, []);

    private static PlacedPost PostOf(PlanPost p) => new(
        new Length(p.X), new Length(p.Y), new Length(p.From), new Length(p.To), [.. p.Heights.Select(h => new Length(h))], p.StandsOn, p.Carries);
}
