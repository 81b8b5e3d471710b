using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Studios;
using KilnShare.Storage.Firings;
using KilnShare.Storage.Outcomes;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Storage.Bookings;

/// <summary>A firing's room with the state it was read in.</summary>
/// <param name="Firing">The firing.</param>
/// <param name="Load">Its load row.</param>
/// <param name="Room">What a decision is made on.</param>
/// <param name="SomeoneWaits">True while entries wait for room.</param>
/// <param name="KilnVersion">The kiln's version.</param>
public sealed record RoomSnapshot(Firing Firing, FiringLoad Load, FiringRoom Room, bool SomeoneWaits, long KilnVersion)
{
    /// <summary>
    /// The room on the furniture that exists, where the plan does not stand on it; null where it does. <see cref="Room"/> is then what it stood on.
    /// </summary>
    public FiringRoom? Anew { get; init; }

    /// <summary>The kiln's version that the plan's ground was taken from; null where there is none.</summary>
    public long? GroundVersion { get; init; }

    /// <summary>The version of the house rules; 0: there are none.</summary>
    public long HouseRulesVersion { get; init; }

    /// <summary>Since when the plan is marked.</summary>
    public Instant? MarkedAt { get; init; }
}

/// <summary>Reads a firing, its kiln and its published plan as of one instant.</summary>
public static class RoomReading
{
    private const int OutcomesThatCount = 500;

    private const int FiringsThatCount = 20;

    /// <summary>The room; null when there is no such firing. To be called inside one repeatable-read transaction, or under the row's lock.</summary>
    public static async Task<RoomSnapshot?> ReadRoom(this KilnShareDb db, Id<Studio> studio, Id<Firing> firingId, CancellationToken cancellation)
    {
        if (await db.Set<Firing>().AsNoTracking().SingleOrDefaultAsync(f => f.StudioId == studio && f.Id == firingId, cancellation) is not { } firing)
            return null;
        var load = await db.Set<FiringLoad>().AsNoTracking().SingleAsync(l => l.StudioId == studio && l.FiringId == firingId, cancellation);
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == studio && k.Id == firing.KilnId, cancellation);
        var held = await db.Set<BookedCopy>().AsNoTracking()
            .Where(c => c.StudioId == studio && c.FiringId == firingId && c.State == BookingState.Confirmed)
            .OrderBy(c => c.BookingId).ThenBy(c => c.PieceId).ThenBy(c => c.Copy).ToListAsync(cancellation); // or answers differ from time to time
        var shelves = await db.Set<PlanShelf>().AsNoTracking()
            .Where(s => s.StudioId == studio && s.FiringId == firingId).OrderBy(s => s.ShelfNo).ToListAsync(cancellation);
        var posts = await db.Set<PlanPost>().AsNoTracking()
            .Where(p => p.StudioId == studio && p.FiringId == firingId).OrderBy(p => p.PostNo).ToListAsync(cancellation);
        var waits = await db.Set<Booking>().AnyAsync(
            b => b.StudioId == studio && b.FiringId == firingId && b.State == BookingState.Waiting && b.WaitsFor == WaitsFor.Room, cancellation);
        var rules = await db.Set<StudioHouseRules>().AsNoTracking().SingleOrDefaultAsync(r => r.StudioId == studio, cancellation);
        var room = new FiringRoom(
            firing.Aim, kiln.Making, kiln.Furniture, firing.StartsAt,
            [.. held.Select(c => new HeldCopy(c.BookingId, c.PieceId, c.Copy, c.Frozen, c.Place))],
            [.. shelves.Select(ShelfOf)], [.. posts.Select(PostOf)], load.LoadVersion)
        {
            HouseRules = rules?.Rules,
            Schedule = firing.ScheduleId is { } named
                ? (await db.Set<StudioSchedule>().AsNoTracking().SingleAsync(s => s.StudioId == studio && s.Id == named, cancellation)).Schedule : null,
            EarlierCones = await ReadEarlierCones(db, firing, cancellation),
            Levels = (await db.ReadLevels(studio, kiln.Id, cancellation)).Levels,
            Evidence = EvidenceTable.ForRules(await db.ReadSeenCopies(studio, new OutcomesWanted(OutcomesThatCount), cancellation)),
        };
        var ground = await db.Set<PlanGround>().AsNoTracking().SingleOrDefaultAsync(g => g.StudioId == studio && g.FiringId == firingId, cancellation);
        return OnItsGround(
            new RoomSnapshot(firing, load, room, waits, kiln.Version)
            {
                GroundVersion = ground?.KilnVersion,
                HouseRulesVersion = rules?.Version
                ?? 0,
                MarkedAt = ground?.MarkedAt
            }, ground);
    }

    private static async Task<IReadOnlyList<Cone>> ReadEarlierCones(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var earlier = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == firing.StudioId && f.KilnId == firing.KilnId && f.StartsAt < firing.StartsAt && f.State >= FiringState.Unloaded
                && f.State != FiringState.Cancelled)
            .OrderByDescending(f => f.StartsAt).Take(FiringsThatCount).Select(f => f.Aim).ToListAsync(cancellation);
        return [.. earlier.Where(aim => aim.Kind == firing.Aim.Kind && aim.Series == firing.Aim.Series).Select(aim => aim.Cone)];
    }

    /// <summary>A plan that was loaded, or that does not stand on the furniture that exists, is told on what it was made for.</summary>
    private static RoomSnapshot OnItsGround(RoomSnapshot now, PlanGround? ground)
    {
        if (ground is null || now.Room.Shelves.Count == 0) return now;
        var asMade = now.Room with { Kiln = ground.Making, Furniture = ground.Furniture };
        if (now.Firing.State > FiringState.Fixed) return now with { Room = asMade };
        return now.MarkedAt is null || PlanAnew.Stands(now.Room) ? now : now with { Room = asMade, Anew = now.Room };
    }

    private static PlacedShelf ShelfOf(PlanShelf s) =>
        new(s.ShelfNo, s.ShelfId, new Length(s.X), new Length(s.Y), s.RotationThousandths, new Length(s.Top), new Length(s.ClearAbove), s.AreaUse, []);

    private static PlacedPost PostOf(PlanPost p) => new(
        new Length(p.X), new Length(p.Y), new Length(p.From), new Length(p.To), [.. p.Heights.Select(h => new Length(h))], p.StandsOn, p.Carries);
}
