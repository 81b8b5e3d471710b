using System.Globalization;
using KilnShare.Core.Common;
using NodaTime;
using NodaTime.Text;

namespace KilnShare.Core.Firings.Csv;

/// <summary>The times of a logger's file, once it is known how they are written.</summary>
internal static class LogCsvTimes
{
    /// <summary>A firing's log is no longer than this, h.</summary>
    public const int MostHours = 30 * 24;

    // A time of day is no time since the start: a first one as late as this is asked about, h.
    private const int FirstWithinHours = 1;
    private const double SecondsInHour = 3600;
    private const double SecondsInMinute = 60;

    private static readonly LocalDateTimePattern[] LocalPatterns =
        [LocalDateTimePattern.CreateWithInvariantCulture(
            "uuuu-MM-dd'T'HH:mm:ss;FFFFFFFFF"), LocalDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd'T'HH:mm")];

    /// <summary>How this time is written; null where it is in no form that is read.</summary>
    /// <param name="text">The first time of the file.</param>
    /// <param name="said">The unit that the header names.</param>
    public static LogCsvTimeForm? FormOf(string text, LogCsvTimeForm? said)
    {
        if (InstantOf(text) is not null) return LogCsvTimeForm.Instant;
        if (LocalOf(text) is not null) return LogCsvTimeForm.Local;
        if (ClockSeconds(text) is not null) return LogCsvTimeForm.Clock;
        return LogCsvNumbers.Read(text) is not null ? said ?? LogCsvTimeForm.Minutes : null;
    }

    /// <summary>When that is, or what is wrong with it, as the end of a sentence.</summary>
    public static Result<Instant> Read(string text, LogCsvTimeForm form, Instant? start, DateTimeZone zone)
    {
        if (form == LogCsvTimeForm.Instant)
            return InstantOf(text) is { } at ? at : Wrong("is no date and time with an offset, such as 2026-03-14T07:00:00+01:00, as the first one is");
        if (form == LogCsvTimeForm.Local)
            return LocalOf(text) is { } local ? InZone(local, zone) : Wrong("is no date and time, such as 2026-03-14 07:00:00, as the first one is");
        if (SecondsOf(text, form) is not { } seconds) return Wrong(
            form == LogCsvTimeForm.Clock ? "is no time as hours:minutes or hours:minutes:seconds, as the first one is" : "is no number, as the first time is");
        if (!(seconds >= 0 && seconds <= MostHours * SecondsInHour)) return Wrong($"is not within 0 to {MostHours} hours from the start");
        return start is { } from
            ? from + Duration.FromMilliseconds(Math.Round(seconds * 1000))
            : Refusal.Rule(
                "firings.csv-without-start",
                "The times of this file count from the start of the firing, and nobody has said when that was. Send startedAt, such as 2026-03-14T06:00:00Z, "
                    + "or light the firing here first.");
    }

    /// <summary>True where a first time since the start is so late that it may well be a time of day.</summary>
    public static bool MayBeTimeOfDay(string text) => ClockSeconds(text) >= FirstWithinHours * SecondsInHour;

    private static double? SecondsOf(string text, LogCsvTimeForm form) => form switch
    {
        LogCsvTimeForm.Clock => ClockSeconds(text),
        LogCsvTimeForm.Seconds => LogCsvNumbers.Read(text),
        LogCsvTimeForm.Minutes => LogCsvNumbers.Read(text) * SecondsInMinute,
        _ => LogCsvNumbers.Read(text) * SecondsInHour,
    };

    /// <summary>Hours:minutes or hours:minutes:seconds in seconds; hours may pass 24.</summary>
    private static double? ClockSeconds(string text)
    {
        var parts = text.Split(':');
        if (parts.Length is not (2 or 3) || !parts.Take(2).All(p => p.Length is >= 1 and <= 3 && p.All(char.IsAsciiDigit))) return null;
        var (hours, minutes) = (int.Parse(parts[0], CultureInfo.InvariantCulture), int.Parse(parts[1], CultureInfo.InvariantCulture));
        var seconds = parts.Length == 3 ? LogCsvNumbers.Read(parts[2]) : 0;
        return minutes < SecondsInMinute && seconds >= 0 && seconds < SecondsInMinute ? (hours * SecondsInHour) + (minutes * SecondsInMinute) + seconds : null;
    }

    private static Instant? InstantOf(string text) =>
        OffsetDateTimePattern.Rfc3339.Parse(Joined(text)) is { Success: true } read ? read.Value.ToInstant() : null;

    private static LocalDateTime? LocalOf(string text) =>
        LocalPatterns.Select(p => p.Parse(Joined(text).Replace(',', '.'))).FirstOrDefault(r => r.Success)?.Value;

    private static string Joined(string text) => text.Length > 10 && text[10] == ' ' ? text[..10] + "T" + text[11..] : text;

    private static Result<Instant> InZone(LocalDateTime local, DateTimeZone zone)
    {
        var map = zone.MapLocal(local);
        return map.Count == 1
            ? map.Single().ToInstant()
            : Wrong($"{(map.Count == 0 ? "never was" : "was twice")} in {zone.Id}, where the clocks were changed. Write the times of that night "
                + $"with an offset");
    }

    private static Refusal Wrong(string what) => Refusal.Invalid("firings.csv-time", what);
}
