using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Firings;

/// <summary>How hot a firing became: by a technician's word, else its witness cones, else its log.</summary>
internal static class FiringHeat
{
    /// <summary>What is known of it; null where nothing is.</summary>
    public static async Task<HeatReached?> Read(KilnShareDb db, Firing firing, HeatReached? word, CancellationToken cancellation)
    {
        var entries = await db.Set<WitnessEntry>().AsNoTracking().Where(w => w.StudioId == firing.StudioId && w.FiringId == firing.Id)
            .OrderBy(w => w.WrittenAt).ThenBy(w => w.Id).ToListAsync(cancellation);
        var log = await FiringLog.Read(db, firing, cancellation);
        var work = log.ToCurve().TryGet(out var curve, out _) && HeatWork.Of(firing.Aim.Series, curve.History).TryGet(out var read, out _) ? read : null;
        return HeatReached.Of(word, entries.Count == 0 ? [] : WitnessEntry.FiringOf(firing.Aim, entries).Seen, work);
    }
}
