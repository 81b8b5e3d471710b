using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Energy;

/// <summary>Reads meters: what was struck is left out, here and nowhere else.</summary>
public static class MeterReadings
{
    /// <summary>The readings of a studio that count.</summary>
    public static IQueryable<MeterEntry> ReadingsThatCount(this KilnShareDb db, Id<Studio> studio) =>
        db.Set<MeterEntry>().AsNoTracking().Where(r => r.StudioId == studio && r.StruckAt == null);

    /// <summary>A firing's readings that count, the earliest first.</summary>
    public static Task<List<MeterEntry>> ReadingsOf(this KilnShareDb db, Firing firing, CancellationToken cancellation) =>
        db.ReadingsThatCount(firing.StudioId).Where(r => r.FiringId == firing.Id).OrderBy(r => r.ReadAt).ToListAsync(cancellation);

    /// <summary>All readings that count of a meter that kilns share, the earliest first.</summary>
    public static Task<List<MeterEntry>> SharedReadingsOf(this KilnShareDb db, Id<Studio> studio, string meter, CancellationToken cancellation) =>
        db.ReadingsThatCount(studio).Where(r => r.IsShared && r.Meter == meter).OrderBy(r => r.ReadAt).ToListAsync(cancellation);
}
