using System.Globalization;
using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>
/// Months, weekdays and hours by the wall clock, e.g. 22:00 to 06:00 from Monday to Friday. A span over midnight is the early and the late hours of
/// each of its days: on the Monday until 06:00 and from 22:00.
/// </summary>
public sealed record ClockSpan
{
    private const int MinutesPerDay = 1440;

    private static readonly string[] DayNames = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

    private readonly bool[] months;
    private readonly bool[] days;

    private ClockSpan(bool[] months, bool[] days, int fromMinute, int toMinute) =>
        (this.months, this.days, FromMinute, ToMinute) = (months, days, fromMinute, toMinute);

    /// <summary>Minute of the day at which it begins, 0 to 1439.</summary>
    public int FromMinute { get; }

    /// <summary>Minute of the day before which it ends, 1 to 1440; not after the beginning where it goes over midnight.</summary>
    public int ToMinute { get; }

    /// <summary>Every hour of every day.</summary>
    public static ClockSpan Always { get; } = new(Enumerable.Repeat(true, 12).ToArray(), Enumerable.Repeat(true, 7).ToArray(), 0, MinutesPerDay);

    /// <summary>
    /// A span as it is written: <c>1-12</c> or <c>11-2</c>, <c>mon-fri,sun</c>, <c>22:00</c>, <c>06:00</c>; 00:00 to 00:00 is the whole day.
    /// </summary>
    public static Result<ClockSpan> Parse(string months, string days, string from, string to)
    {
        if (Ranges(months, 12, Month) is not { } monthSet)
            return Refusal.Invalid("energy.bad-months", $"{months} are no months; write for instance 1-12 or 11-2,4.", "/months");
        if (Ranges(days, 7, Day) is not { } daySet)
            return Refusal.Invalid("energy.bad-days", $"{days} are no days; write for instance mon-fri or sat,sun.", "/days");
        if (Minute(from) is not { } fromMinute || fromMinute == MinutesPerDay)
            return Refusal.Invalid("energy.bad-time", $"{from} is no time; write for instance 22:00.", "/from");
        if (Minute(to) is not { } toMinute) return Refusal.Invalid("energy.bad-time", $"{to} is no time; write for instance 06:00.", "/to");
        return new ClockSpan(monthSet, daySet, fromMinute, toMinute == 0 ? MinutesPerDay : toMinute);
    }

    /// <summary>Whether that moment of the wall clock lies in it.</summary>
    public bool Contains(LocalDateTime clock) => Contains(clock.Month, (int)clock.DayOfWeek, clock.Hour * 60 + clock.Minute);

    /// <summary>Whether a minute of a day lies in it.</summary>
    /// <param name="month">1 to 12.</param>
    /// <param name="day">1, Monday, to 7.</param>
    /// <param name="minute">0 to 1439.</param>
    internal bool Contains(int month, int day, int minute) =>
        months[month - 1] && days[day - 1]
        && (FromMinute < ToMinute ? minute >= FromMinute && minute < ToMinute : minute >= FromMinute || minute < ToMinute);

    private static bool[]? Ranges(string text, int count, Func<string, int?> parse)
    {
        var set = new bool[count];
        foreach (var range in text.Split(','))
        {
            var ends = range.Split('-');
            if (ends.Length > 2 || parse(ends[0].Trim()) is not { } first || parse(ends[^1].Trim()) is not { } last) return null;
            for (var i = first; ; i = (i + 1) % count)
            {
                set[i] = true;
                if (i == last) break;
            }
        }
        return set;
    }

    private static int? Month(string text) =>
        int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var month) && month is >= 1 and <= 12 ? month - 1 : null;

    private static int? Day(string text) => Array.IndexOf(DayNames, text) is var day and >= 0 ? day : null;

    private static int? Minute(string text) =>
        text is [_, _, ':', _, _]
        && int.TryParse(text.AsSpan(0, 2), NumberStyles.None, CultureInfo.InvariantCulture, out var hour)
        && int.TryParse(text.AsSpan(3), NumberStyles.None, CultureInfo.InvariantCulture, out var minute)
        && minute < 60 && hour * 60 + minute <= MinutesPerDay
            ? hour * 60 + minute
            : null;
}
