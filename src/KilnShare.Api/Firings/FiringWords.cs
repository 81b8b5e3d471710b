using System.Globalization;
using KilnShare.Api.Common;
using KilnShare.Api.Studios;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>Firings in words, for papers, pictures and calendars.</summary>
public static class FiringWords
{
    /// <summary>What a firing is, in few words.</summary>
    public static string Of(Firing firing) => $"{KindOf(firing.Aim.Kind)} firing to cone {firing.Aim.Cone}";

    /// <summary>A firing as people name it: what it is, in which kiln and on which day.</summary>
    public static async Task<string> Named(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        var lit = (firing.LitAt ?? firing.StartsAt).InZone(await StudioZone.Of(db, cancellation));
        return $"{Of(firing)} in {kiln.Making.Name} on {lit.ToString("ddd d MMM uuuu", CultureInfo.InvariantCulture)}";
    }

    /// <summary>The same with its kiln and the day it is to be lit.</summary>
    public static string InKiln(Firing firing, Kiln kiln, DateTimeZone zone) => $"{Of(firing)} in {kiln.Making.Name}, {Time(firing.StartsAt, zone)}";

    /// <summary>A time as the studio's clocks show it.</summary>
    public static string Time(Instant time, DateTimeZone zone) => Moments.Of(time, zone);

    private static string KindOf(FiringKind kind) => kind switch
    {
        FiringKind.UnderglazeSet => "underglaze-setting",
        FiringKind.SingleFire => "single",
        _ => EnumWord<FiringKind>.Of(kind),
    };
}
