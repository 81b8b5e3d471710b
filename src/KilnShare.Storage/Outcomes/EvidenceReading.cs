using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Storage.Outcomes;

/// <summary>Reads a studio's outcomes with what the ware was and how it was fired.</summary>
public static class EvidenceReading
{
    /// <summary>The newest outcomes, so many at most.</summary>
    public static async Task<IReadOnlyList<SeenOutcome>> ReadSeenOutcomes(this KilnShareDb db, Id<Studio> studioId, int most, CancellationToken cancellation)
    {
        var seen = await (from outcome in db.Set<Outcome>().AsNoTracking()
                          join item in db.Set<LoadItem>() on new { outcome.StudioId, outcome.FiringId, outcome.PieceId, outcome.Copy }
                              equals new { item.StudioId, item.FiringId, item.PieceId, item.Copy }
                          join firing in db.Set<Firing>() on new { outcome.StudioId, Id = outcome.FiringId } equals new { firing.StudioId, firing.Id }
                          where outcome.StudioId == studioId
                          orderby outcome.Id descending
                          select new { outcome, item, firing }).Take(most).ToListAsync(cancellation);
        if (seen.Count == 0) return [];
        var name = await db.Set<Studio>().Where(s => s.StudioId == studioId).Select(s => s.TimeZone).SingleAsync(cancellation);
        var zone = DateTimeZoneProviders.Tzdb[name];
        return [.. seen.Select(s => SeenOutcome.Of(s.outcome, s.item, s.firing, zone)).OfType<SeenOutcome>()];
    }
}
