using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>When somebody is there.</summary>
/// <param name="Hours">By the clock of the tariff's zone; a moment in any of them is attended.</param>
/// <param name="AtEnd">So long before the end of the firing somebody must be there, and at its start.</param>
public sealed record Attendance(IReadOnlyList<ClockSpan> Hours, Duration AtEnd);

/// <summary>A start and what the firing would then cost.</summary>
/// <param name="StartsAt">When.</param>
/// <param name="Cost">By the tariff.</param>
public sealed record StartChoice(Instant StartsAt, TariffCost Cost);

/// <summary>When to start so that the electricity costs least.</summary>
public static class CheapestStart
{
    /// <summary>Starts are tried so far apart.</summary>
    public static readonly Duration Every = Duration.FromMinutes(15);

    /// <summary>The longest window looked through.</summary>
    public static readonly Duration LongestWindow = Duration.FromDays(14);

    /// <summary>
    /// The cheapest start within a window, every quarter of an hour tried; of equal ones the earliest. The firing ends within the window too.
    /// </summary>
    public static Result<StartChoice> Find(Tariff tariff, PowerCurve power, Interval window, Attendance? attendance)
    {
        if (window.Duration > LongestWindow)
            return Refusal.Invalid("energy.window-too-long", $"Look through at most {LongestWindow.Days} days at a time.", "/window");
        var energy = MinuteEnergy.Of(power);
        var length = Duration.FromMinutes(energy.Kwh.Length);
        var periods = tariff.PeriodsByMinute(window.Start, (int)Math.Ceiling(window.Duration.TotalMinutes));
        StartChoice? best = null;
        for (var start = window.Start; start + length <= window.End; start += Every)
        {
            if (attendance is not null && !Attended(tariff.Zone, attendance, start, start + length)) continue;
            var cost = TariffBill.Of(tariff, energy, periods.AsSpan((int)(start - window.Start).TotalMinutes), start.InZone(tariff.Zone).Minute);
            if (best is null || cost.TotalMinor < best.Cost.TotalMinor) best = new StartChoice(start, cost);
        }
        return best is not null
            ? best
            : Refusal.Rule(
                "energy.no-start",
                $"The firing takes {length.TotalHours:0.0} h and finds no start in this window with somebody there at its start and for the last "
                + $"{(attendance?.AtEnd ?? Duration.Zero).TotalHours:0.#} h; widen the window or the attended hours.",
                "/window");
    }

    private static bool Attended(DateTimeZone zone, Attendance attendance, Instant start, Instant end)
    {
        bool There(Instant at)
        {
            var clock = at.InZone(zone).LocalDateTime; // once for all spans
            return attendance.Hours.Any(h => h.Contains(clock));
        }

        if (!There(start)) return false;
        for (var at = end - attendance.AtEnd; at < end; at += Duration.FromMinutes(5))
        {
            if (!There(at)) return false;
        }
        return There(end - Duration.FromMinutes(1));
    }
}
