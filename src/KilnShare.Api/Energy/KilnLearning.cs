using System.Globalization;
using KilnShare.Api.Firings;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Energy;

/// <summary>A firing that a kiln can be learnt from.</summary>
/// <param name="Id">The firing.</param>
/// <param name="Metered">What was in and what it took.</param>
internal sealed record LearnableFiring(Id<Firing> Id, MeteredFiring Metered);

/// <summary>Reads what a kiln's own firings teach of it.</summary>
internal static class KilnLearning
{
    private const double RoomC = 20;

    /// <summary>A register shows tenths of a kWh: over ten minutes they are a tenth of the power or less.</summary>
    private const double LongEnoughSeconds = 600;

    /// <summary>The kiln as it has been learnt; null where its wall or power is not known.</summary>
    public static async Task<KnownKiln?> Read(KilnShareDb db, LearntKilns memory, Kiln kiln, CancellationToken cancellation)
    {
        if (KilnForecasts.HeatOf(kiln) is not { } heat) return null;
        var firings = await FiringsOf(db, kiln, cancellation);
        var seen = firings.Select(
            f => (f.Id, f.Metered.MeteredKwh, f.Metered.Load, f.Metered.Log?.Seconds.Length, f.Metered.Log?.Hours, f.Metered.Log?.PeakC, f.Metered.SeenKw));
        var from = string.Create(CultureInfo.InvariantCulture, $"{kiln.Version}|{string.Join('|', seen)}");
        var learnt = memory.Of(kiln, heat, [.. firings.Select(f => f.Metered)], from);
        return new KnownKiln(learnt.ApplyTo(heat), learnt);
    }

    /// <summary>The newest firings that can be learnt from, oldest first.</summary>
    public static async Task<List<LearnableFiring>> FiringsOf(KilnShareDb db, Kiln kiln, CancellationToken cancellation)
    {
        var rows = await Measured(db, kiln, cancellation);
        var ids = rows.Select(r => r.Firing.Id).ToList();
        var loads = await db.Set<LoadItem>().AsNoTracking().Where(i => i.StudioId == kiln.StudioId && ids.Contains(i.FiringId) && i.Fate == LoadFate.Placed)
            .ToListAsync(cancellation);
        var learnable = new List<LearnableFiring>();
        foreach (var row in rows.AsEnumerable().Reverse())
        {
            if (!(await FiringTakes.Read(db, row.Firing, cancellation)).TryGet(out var take, out _) || !CanTeach(take)) continue;
            var wareKg = FiringWare.Kg([.. loads.Where(i => i.FiringId == row.Firing.Id).Select(i => i.Frozen)]);
            learnable.Add(new LearnableFiring(row.Firing.Id, new MeteredFiring(
                KilnForecasts.LoadOf(kiln, row.Firing.Aim.Kind, wareKg ?? 0), RoomC, FiringEnergyQuestion.Programme(row.Schedule), (double)take.Kwh,
                await LogOf(db, row.Firing, cancellation), SeenKw(take))));
        }

        return learnable;
    }

    /// <summary>From how many firings a kiln is learnt.</summary>
    public static async Task<int> CountFirings(KilnShareDb db, Kiln kiln, CancellationToken cancellation) => (await Measured(db, kiln, cancellation)).Count;

    /// <summary>The newest firings that followed a schedule to its end, and whose energy two readings or samples of its power tell.</summary>
    private static async Task<List<MeasuredFiring>> Measured(KilnShareDb db, Kiln kiln, CancellationToken cancellation)
    {
        var rows = await (from firing in db.Set<Firing>().AsNoTracking()
                          join schedule in db.Set<StudioSchedule>() on new { firing.StudioId, Id = firing.ScheduleId } equals new
                          {
                              schedule.StudioId,
                              Id = (Id<StudioSchedule>?)schedule.Id
                          }
                          where firing.StudioId == kiln.StudioId && firing.KilnId == kiln.Id && firing.Outcome != FiringOutcome.Aborted
                              && firing.State != FiringState.Cancelled
                          let readings = db.Set<MeterEntry>().Count(m => m.StudioId == firing.StudioId && m.FiringId == firing.Id && m.StruckAt == null)
                          let hand = db.Set<UnmeteredEnergy>().Where(u => u.StudioId == firing.StudioId && u.FiringId == firing.Id).Select(u => u.Energy)
                              .SingleOrDefault()
                          where readings >= 2 || hand != null
                          orderby firing.StartsAt descending
                          select new { firing, schedule.Schedule, readings, hand }).Take(LearntKiln.MostFirings).ToListAsync(cancellation);
        return [.. rows.Where(r => r.readings >= 2 || (r.readings == 0 && r.hand!.Samples.Count > 0)).Select(r => new MeasuredFiring(r.firing, r.Schedule))];
    }

    private sealed record MeasuredFiring(Firing Firing, FiringSchedule Schedule);

    /// <summary>Duty and gas tell nothing of an electric kiln's energy that was measured.</summary>
    private static bool CanTeach(FiringTake take) => take.Kwh > 0 && take.Basis is TakeBasis.Meter or TakeBasis.SharedMeter or TakeBasis.PowerSamples;

    /// <summary>The greatest mean power over any step between readings that is long enough.</summary>
    private static double? SeenKw(FiringTake take)
    {
        double? most = null;
        for (var i = 1; i < take.Power.EndSeconds.Count; i++)
            if (take.Power.EndSeconds[i] - take.Power.EndSeconds[i - 1] >= LongEnoughSeconds) most = Math.Max(most ?? 0, take.Power.Kw[i]);
        return most;
    }

    private static async Task<TemperatureHistory?> LogOf(KilnShareDb db, Firing firing, CancellationToken cancellation) =>
        (await FiringLog.Read(db, firing, cancellation)).ToCurve().TryGet(out var curve, out _) ? curve.History : null;
}
