using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Studios;

/// <summary>The zone of the studio's clocks, in which times are said to its people.</summary>
internal static class StudioZone
{
    /// <summary>The zone of the studio that the connection may see.</summary>
    public static async Task<DateTimeZone> Of(KilnShareDb db, CancellationToken cancellation) =>
        DateTimeZoneProviders.Tzdb[await db.Set<Studio>().AsNoTracking().Select(s => s.TimeZone).SingleAsync(cancellation)];
}
