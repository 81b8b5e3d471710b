using KilnShare.Api.Common;
using KilnShare.Api.Studios;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Firings;

/// <summary>Says of a kiln's time that is taken which firing has it, and when the kiln is free for as long.</summary>
internal static class KilnTimes
{
    /// <summary>True where the database refused a firing because the kiln's time is taken.</summary>
    public static bool AreTaken(DbUpdateException refused) => Postgres.ConstraintOf(refused) == "ex_firing_kiln_time";

    /// <summary>The refusal of a firing that the kiln has no time for.</summary>
    public static async Task<Refusal> Refuse(KilnShareDb db, Firing wanted, CancellationToken cancellation)
    {
        var live = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == wanted.StudioId && f.KilnId == wanted.KilnId && f.Id != wanted.Id && f.State != FiringState.Cancelled
                && f.EndsAt > wanted.StartsAt)
            .OrderBy(f => f.StartsAt).ToListAsync(cancellation);
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == wanted.StudioId && k.Id == wanted.KilnId, cancellation);
        return KilnTime.Taken(kiln.Making.Name, wanted, live, FiringWords.Of, await StudioZone.Of(db, cancellation));
    }
}
