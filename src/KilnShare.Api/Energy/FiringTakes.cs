using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using KilnShare.Storage.Energy;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Energy;

/// <summary>What firings took, by their meters, and where no register was read, by what was written down by hand.</summary>
internal static class FiringTakes
{
    /// <summary>What a firing took.</summary>
    public static async Task<Result<FiringTake>> Read(KilnShareDb db, Firing firing, CancellationToken cancellation) =>
        await Of(db, firing, await db.ReadingsOf(firing, cancellation), cancellation);

    /// <summary>What a firing took by these readings of it.</summary>
    public static async Task<Result<FiringTake>> Of(KilnShareDb db, Firing firing, IReadOnlyList<MeterEntry> readings, CancellationToken cancellation)
    {
        if (readings.Count == 0 && await db.FindAsync<UnmeteredEnergy>([firing.StudioId, firing.Id], cancellation) is { } hand)
            return hand.Energy.Take(firing.LitAt ?? firing.StartsAt, firing.FiringHours);
        if (readings.Count == 0) return MeterSeries.Create([]).Value.Whole();
        var parts = new List<FiringTake>();
        foreach (var meter in readings.GroupBy(r => r.Meter, StringComparer.Ordinal))
        {
            List<MeterEntry> own = [.. meter];
            var part = own.Exists(r => r.IsShared) ? await Shared(db, firing, own, cancellation) : MeterEntry.SeriesOf(own).Then(s => s.Whole());
            if (!part.TryGet(out var take, out var refusal)) return refusal;
            parts.Add(take);
        }

        return FiringTake.Sum(parts);
    }

    private static async Task<Result<FiringTake>> Shared(KilnShareDb db, Firing firing, List<MeterEntry> own, CancellationToken cancellation)
    {
        var (from, to) = (own[0].ReadAt, own[^1].ReadAt);
        if (own.Count < 2) return MeterEntry.SeriesOf(own).Then(s => s.Whole());
        var stored = await db.SharedReadingsOf(firing.StudioId, own[0].Meter, cancellation);
        List<MeterEntry> all = [.. stored.Where(r => !own.Exists(o => o.Id == r.Id)).Concat(own).OrderBy(r => r.ReadAt)];
        var ids = all.Select(r => r.FiringId).Distinct().ToList();
        var firings = await db.Set<Firing>().AsNoTracking().Where(f => f.StudioId == firing.StudioId && ids.Contains(f.Id)).ToListAsync(cancellation);
        var users = new List<MeterUser>();
        foreach (var one in firings) users.Add(await UserOf(db, one, cancellation));
        return MeterEntry.SeriesOf(all).Then(series => SharedMeter.Split(series, users, firings.FindIndex(f => f.Id == firing.Id), from, to));
    }

    /// <summary>The power a firing is forecast to take; where its kiln or schedule is not written down, even power.</summary>
    private static async Task<MeterUser> UserOf(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        var schedule = firing.ScheduleId is { } named
            ? await db.Set<StudioSchedule>().AsNoTracking().SingleAsync(s => s.StudioId == firing.StudioId && s.Id == named, cancellation) : null;
        var start = firing.LitAt ?? firing.StartsAt;
        return schedule is not null && KilnForecasts.Of(kiln, schedule.Schedule, firing.Aim.Kind, wareKg: await FiringWare.KgOf(
            db, firing, cancellation)) is { } forecast && forecast.TryGet(out var found, out _)
            ? new MeterUser(start, found.Power)
            : new MeterUser(start, new PowerCurve([0, (double)firing.FiringHours * 3600], [0, (double)(kiln.Making.RatedKw ?? 1)]));
    }
}
