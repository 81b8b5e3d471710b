using System.Globalization;
using NodaTime;

namespace KilnShare.Core.Common;

/// <summary>Times in sentences, as the studio's clocks show them.</summary>
public static class Moments
{
    /// <summary>A day and time, such as Mon 12 Jan 2026, 08:00.</summary>
    public static string Of(Instant time, DateTimeZone zone) => time.InZone(zone).ToString("ddd d MMM uuuu, HH:mm", CultureInfo.InvariantCulture);
}
