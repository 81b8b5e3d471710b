using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Storage.Bookings;

/// <summary>In which firings a change of plan may be written.</summary>
public enum WriteWhile
{
    /// <summary>That take bookings.</summary>
    Accepting,

    /// <summary>That take bookings or are fixed: a technician's yes.</summary>
    FixedToo,

    /// <summary>In any; the version alone guards it.</summary>
    Always,
}

/// <summary>Replaces a firing's plan by the next one: the only way a copy gets a place.</summary>
public static class PlanPublication
{
    /// <summary>
    /// Takes the next version, if the plan is still the one the decision was made on and the firing may still be written in. False: someone
    /// was faster, or it is closed; nothing was written, read again. Inside the write transaction, before anything else but the idempotency row.
    /// </summary>
    public static async Task<bool> TakeNextVersion(
        this KilnShareDb db, Id<Studio> studio, Id<Firing> firing, long version, decimal bookedMassG, WriteWhile allowed, CancellationToken cancellation) =>
        await db.Set<FiringLoad>()
            .Where(l => l.StudioId == studio && l.FiringId == firing && l.LoadVersion == version)
            .Where(l => l.Accepting || allowed == WriteWhile.Always || (allowed == WriteWhile.FixedToo
                && db.Set<Firing>().Any(f => f.StudioId == studio && f.Id == firing && f.State == FiringState.Fixed)))
            .ExecuteUpdateAsync(set => set.SetProperty(l => l.LoadVersion, version + 1).SetProperty(l => l.BookedMassG, bookedMassG), cancellation) == 1;

    /// <summary>
    /// Holds the firing open until the transaction ends, for who is written down in it without a change of its plan: whoever closes it waits,
    /// and then sees what was written. False: it takes no bookings.
    /// </summary>
    public static async Task<bool> HoldOpen(this KilnShareDb db, Id<Studio> studio, Id<Firing> firing, CancellationToken cancellation) =>
        await db.Set<FiringLoad>().Where(l => l.StudioId == studio && l.FiringId == firing && l.Accepting)
            .ExecuteUpdateAsync(set => set.SetProperty(l => l.Accepting, true), cancellation) == 1;

    /// <summary>Holds the firing's plan and its kiln as they are until the transaction ends: what is read after this is what is written over.</summary>
    public static async Task LockPlan(this KilnShareDb db, Id<Studio> studio, Id<Firing> firing, CancellationToken cancellation)
    {
        await db.Database.ExecuteSqlAsync(
            $"select 1 from firing_load where studio_id = {studio.Value} and firing_id = {firing.Value} for update", cancellation);
        await db.Database.ExecuteSqlAsync(
            $"""
            select 1 from kiln k join firing f on f.studio_id = k.studio_id and f.kiln_id = k.id
            where f.studio_id = {studio.Value} and f.id = {firing.Value} for share of k
            """,
            cancellation);
    }

    /// <summary>Writes down that the plan stands on the kiln's furniture as it is now. The kiln is held, by its version or by <see cref="LockPlan"/>.</summary>
    public static Task KeepGround(this KilnShareDb db, Id<Studio> studio, Id<Firing> firing, CancellationToken cancellation) => db.Database.ExecuteSqlAsync(
        $"""
        insert into plan_ground (studio_id, firing_id, making, furniture, kiln_version)
        select f.studio_id, f.id, k.making, k.furniture, k.version from firing f join kiln k on k.studio_id = f.studio_id and k.id = f.kiln_id
        where f.studio_id = {studio.Value} and f.id = {firing.Value}
        on conflict (studio_id, firing_id) do update set making = excluded.making, furniture = excluded.furniture, kiln_version = excluded.kiln_version, marked_at = null
        """,
        cancellation);

    /// <summary>Marks the plans that stand in a kiln whose furniture is being changed, and returns their firings. The kiln is held.</summary>
    public static Task<List<Guid>> MarkPlans(
        this KilnShareDb db, Id<Studio> studio, Id<Kiln> kiln, Instant now, CancellationToken cancellation) => db.Database.SqlQuery<Guid>(
        $"""
        update plan_ground g set marked_at = coalesce(g.marked_at, {now}) from firing f
        where f.studio_id = g.studio_id and f.id = g.firing_id and f.studio_id = {studio.Value} and f.kiln_id = {kiln.Value} and f.state in ('Draft', 'Accepting', 'Fixed')
          and exists (select from plan_shelf s where s.studio_id = g.studio_id and s.firing_id = g.firing_id)
        returning g.firing_id
        """).ToListAsync(cancellation);

    /// <summary>
    /// Publishes the plan as hands load by it, where its room can be shared out. The plan is held by <see cref="LockPlan"/>, and was read since.
    /// </summary>
    public static async Task ShareOut(this KilnShareDb db, RoomSnapshot snapshot, CancellationToken cancellation)
    {
        if (PlanForHands.Decide(snapshot.Room, cancellation) is not { } decision) return;
        var (studio, firing) = (snapshot.Firing.StudioId, snapshot.Firing.Id);
        await db.TakeNextVersion(studio, firing, snapshot.Room.LoadVersion, BookingDecision.MassOf(decision.Copies), WriteWhile.Always, cancellation);
        await db.WritePlan(studio, firing, decision.Plan, decision.Copies, cancellation);
    }

    /// <summary>Writes shelves, posts and moved places of the plan. The new copies are already added or confirmed, without places.</summary>
    public static async Task WritePlan(
        this KilnShareDb db, Id<Studio> studio, Id<Firing> firing, LoadPlan plan, IReadOnlyList<HeldCopy> copies, CancellationToken cancellation)
    {
        await db.Set<PlanShelf>().Where(s => s.StudioId == studio && s.FiringId == firing).ExecuteDeleteAsync(cancellation);
        await db.Set<PlanPost>().Where(p => p.StudioId == studio && p.FiringId == firing).ExecuteDeleteAsync(cancellation);
        db.AddRange(plan.Shelves.Select(s => new PlanShelf(
            studio, firing, s.Index, s.ShelfId, s.X.Micrometres, s.Y.Micrometres, s.RotationThousandths, s.Top.Micrometres)
        {
            ClearAbove = s.ClearAbove.Micrometres,
            AreaUse = s.AreaUse,
        }));
        db.AddRange(plan.Posts.Select((p, n) => new PlanPost(studio, firing, n, p.X.Micrometres, p.Y.Micrometres, p.From.Micrometres, p.To.Micrometres)
        {
            Heights = [.. p.Heights.Select(h => h.Micrometres)],
            StandsOn = p.StandsOn,
            Carries = [.. p.Carries],
        }));
        var places = copies.ToDictionary(c => (c.BookingId, c.PieceId, c.Copy), c => c.Place);
        var stored = await db.Set<BookedCopy>()
            .Where(c => c.StudioId == studio && c.FiringId == firing && c.State == BookingState.Confirmed).ToListAsync(cancellation);
        foreach (var copy in stored.Concat(Confirmed(db)).Distinct())
        {
            if (places.TryGetValue((copy.BookingId, copy.PieceId, copy.Copy), out var place)) copy.MoveTo(place);
        }
    }

    private static IEnumerable<BookedCopy> Confirmed(KilnShareDb db) =>
        db.ChangeTracker.Entries<BookedCopy>().Select(e => e.Entity).Where(c => c.State == BookingState.Confirmed);
}
