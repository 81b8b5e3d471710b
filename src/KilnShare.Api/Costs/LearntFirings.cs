using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>From how many metered firings a kiln's heat is known.</summary>
internal static class LearntFirings
{
    /// <summary>Those that a kiln's model can be learnt from: with a schedule and a reading before and after, not broken off.</summary>
    public static Task<int> Count(KilnShareDb db, Kiln kiln, CancellationToken cancellation) => db.Set<Firing>().CountAsync(
        f => f.StudioId == kiln.StudioId && f.KilnId == kiln.Id && f.ScheduleId != null && f.Outcome != FiringOutcome.Aborted && f.State != FiringState.Cancelled
            && db.Set<MeterEntry>().Count(m => m.StudioId == f.StudioId && m.FiringId == f.Id) >= 2, cancellation);
}
