using System.Globalization;
using KilnShare.Api.Common;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>Firings in words, for papers, pictures and calendars.</summary>
public static class FiringWords
{
    /// <summary>What a firing is, in few words.</summary>
    public static string Of(Firing firing) => $"{KindOf(firing.Aim.Kind)} firing to cone {firing.Aim.Cone}";

    /// <summary>A time as the studio's clocks show it.</summary>
    public static string Time(Instant time, DateTimeZone zone) => time.InZone(zone).ToString("ddd d MMM uuuu, HH:mm", CultureInfo.InvariantCulture);

    private static string KindOf(FiringKind kind) => kind switch
    {
        FiringKind.UnderglazeSet => "underglaze-setting",
        FiringKind.SingleFire => "single",
        _ => EnumWord<FiringKind>.Of(kind),
    };
}
