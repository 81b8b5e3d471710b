using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Firings;

/// <summary>What a kiln's levels have taught.</summary>
/// <param name="Firings">On how many firings it rests.</param>
/// <param name="Levels">By level.</param>
public sealed record KilnLevels(int Firings, IReadOnlyList<WitnessHabit> Levels);

/// <summary>Reads what a kiln's witness cones have taught of its levels.</summary>
public static class LevelReading
{
    private const int MostFirings = 100;

    /// <summary>The levels of a kiln, from its newest firings.</summary>
    public static async Task<KilnLevels> ReadLevels(this KilnShareDb db, Id<Studio> studio, Id<Kiln> kiln, CancellationToken cancellation)
    {
        var firings = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == studio && f.KilnId == kiln && db.Set<WitnessEntry>().Any(w => w.StudioId == f.StudioId && w.FiringId == f.Id))
            .OrderByDescending(f => f.StartsAt).Take(MostFirings).ToListAsync(cancellation);
        if (firings.Count == 0) return new KilnLevels(0, []);
        var ids = firings.Select(f => f.Id).ToList();
        var entries = await db.Set<WitnessEntry>().AsNoTracking().Where(w => w.StudioId == studio && ids.Contains(w.FiringId))
            .OrderBy(w => w.WrittenAt).ThenBy(w => w.Id).ToListAsync(cancellation);
        var read = firings.Select(f => WitnessReading.Of(WitnessEntry.FiringOf(f.Aim, [.. entries.Where(e => e.FiringId == f.Id)])))
            .Where(levels => levels.Refusal is null).Select(levels => levels.Value).ToList();
        return new KilnLevels(read.Count, WitnessHabit.Of(read));
    }
}
