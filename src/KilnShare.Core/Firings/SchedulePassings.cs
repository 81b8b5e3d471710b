using KilnShare.Core.Cones;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Firings;

/// <summary>One passing of a key temperature.</summary>
/// <param name="Key">Which.</param>
/// <param name="Climbing">On the way up, or down.</param>
/// <param name="FromSeconds">When it begins, s from switching on.</param>
/// <param name="ToSeconds">When it ends, s.</param>
/// <param name="FastestCPerHour">The steepest rate within it, °C/h.</param>
/// <param name="KindCPerHour">The fastest rate that is kind to the ware, °C/h; null where ware or wall is not known.</param>
/// <param name="Caution">What to do where the schedule is unkind; null where it is not.</param>
public sealed record SchedulePassing(
    KeyTemperature Key, bool Climbing, double FromSeconds, double ToSeconds, double FastestCPerHour, double? KindCPerHour, string? Caution);

/// <summary>Where a schedule passes the key temperatures, and whether it does so gently enough.</summary>
public static class SchedulePassings
{
    private const double SecondsPerHour = 3600;

    /// <summary>Every passing, in the order of time.</summary>
    /// <param name="history">What the kiln is to do.</param>
    /// <param name="ware">What is in it; null where not said, and then nothing is judged.</param>
    public static IReadOnlyList<SchedulePassing> Of(TemperatureHistory history, ScheduleWare? ware)
    {
        var candled = CandledHours(history) >= WareLimits.DryingHoldHours(ware?.ThickestWallMm ?? 0) * (1 - 1e-9);
        return [.. KeyTemperatures.All.SelectMany(key => Of(history, key, ware, candled)).OrderBy(passing => passing.FromSeconds)];
    }

    /// <summary>Hours spent drying, between 80 and 95 °C, before 100 °C is passed.</summary>
    public static double CandledHours(TemperatureHistory history)
    {
        var (total, seconds, celsius) = (0.0, history.Seconds.ToArray(), history.Celsius.ToArray());
        for (var i = 1; i < seconds.Length && celsius[i - 1] < KeyTemperatures.Water.FromC; i++)
            total += Inside(celsius[i - 1], celsius[i], WareLimits.CandlingFromC, WareLimits.CandlingToC).Share * (seconds[i] - seconds[i - 1]);
        return total / SecondsPerHour;
    }

    private static List<SchedulePassing> Of(TemperatureHistory history, KeyTemperature key, ScheduleWare? ware, bool candled)
    {
        var found = new List<SchedulePassing>();
        Stretch? open = null;
        for (var i = 1; i < history.Seconds.Length; i++)
        {
            var (from, to) = (history.Celsius[i - 1], history.Celsius[i]);
            var (enter, share) = Inside(from, to, key.WatchedFromC, key.WatchedToC);
            if (share <= 0 && !(from.Equals(to) && open is not null)) Close();
            else if (!from.Equals(to))
            {
                var climbing = to > from;
                if (open is { } running && running.Climbing != climbing) Close();
                if (!(climbing ? key.WhenHeating : key.WhenCooling)) continue;
                var (start, duration) = (history.Seconds[i - 1], history.Seconds[i] - history.Seconds[i - 1]);
                var begin = open?.From ?? start + enter * duration;
                var rate = Math.Abs(to - from) / duration * SecondsPerHour;
                open = new Stretch(climbing, begin, start + (enter + share) * duration, Math.Max(open?.Fastest ?? 0, rate));
            }
        }
        Close();
        return found;

        void Close()
        {
            if (open is { } stretch) found.Add(Judge(key, stretch, ware, candled));
            open = null;
        }
    }

    private readonly record struct Stretch(bool Climbing, double From, double To, double Fastest);

    // Where along the straight line it enters the range, and which share of it lies inside.
    private static (double Enter, double Share) Inside(double from, double to, double low, double high)
    {
        if (from.Equals(to)) return from >= low && from <= high ? (0, 1) : (0, 0);
        var (a, b) = ((low - from) / (to - from), (high - from) / (to - from));
        var (enter, leave) = (Math.Clamp(Math.Min(a, b), 0, 1), Math.Clamp(Math.Max(a, b), 0, 1));
        return (enter, leave - enter);
    }

    private static SchedulePassing Judge(KeyTemperature key, Stretch stretch, ScheduleWare? ware, bool candled)
    {
        var kind = ware is null ? null : WareLimits.FastestCPerHour(key, stretch.Climbing, ware, candled);
        return new SchedulePassing(
            key, stretch.Climbing, stretch.From, stretch.To, stretch.Fastest, kind, ware is null ? null : Caution(key, stretch, ware, kind));
    }

    private static string? Caution(KeyTemperature key, Stretch stretch, ScheduleWare ware, double? kind)
    {
        if (key == KeyTemperatures.Water && ware.IsDamp)
            return "The ware is not dry: steam inside the wall bursts it at any rate. Dry it through before it is fired past 100 °C, "
                + $"or hold it at {WareLimits.CandlingFromC} to {WareLimits.CandlingToC} °C until a cold mirror over the vent stays clear.";
        if (key == KeyTemperatures.Water && ware is { Stage: Stage.Greenware, Dryness: null })
            return "Whether the ware is dry is not known. Only ware that is dry through may pass 100 °C; make sure first.";
        if (kind is not { } fastest || stretch.Fastest <= fastest * (1 + 1e-9)) return null;
        var drying = key == KeyTemperatures.Water
            ? $", or a drying hold of {WareLimits.DryingHoldHours(ware.ThickestWallMm ?? 0):0.#} h at {WareLimits.CandlingFromC} to "
                + $"{WareLimits.CandlingToC} °C"
            : "";
        return $"Between {key.WatchedFromC:0} and {key.WatchedToC:0} °C, where {key.What}, "
            + $"the schedule {(stretch.Climbing ? "climbs" : "falls")} at "
            + $"{stretch.Fastest:0} °C/h; walls of {ware.ThickestWallMm:0.#} mm want {fastest:0} °C/h or less. Put in a "
            + $"slower segment there{drying}.";
    }
}
