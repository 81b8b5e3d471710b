using KilnShare.Core.Common;

namespace KilnShare.Core.Firings;

/// <summary>Fits a schedule into the time there is, without being unkind to the ware.</summary>
/// <remarks>
/// Every rate is multiplied by one factor, found by bisection, but: the last 100 °C below the peak keep their rate, since they decide
/// the cone; no rate exceeds the kiln's; and at no key temperature does one exceed what the walls stand. Holds stay.
/// </remarks>
public static class ScheduleDeadline
{
    private const double SecondsPerHour = 3600;
    private const double LeastFactor = 0.01;
    private const double MostFactor = 1000;
    private const int Halvings = 100;
    private const int RateDecimals = 6;

    /// <summary>The schedule that takes so many hours.</summary>
    /// <param name="schedule">Which to fit; every segment needs its rate.</param>
    /// <param name="hours">From switching on to the end of the last segment, h.</param>
    /// <param name="ware">What is in the kiln: its walls and dryness must be known.</param>
    /// <param name="kilnCPerHour">The fastest this kiln can climb, °C/h.</param>
    public static Result<FiringSchedule> Fit(FiringSchedule schedule, double hours, ScheduleWare ware, double kilnCPerHour)
    {
        if (!schedule.ToHistory().TryGet(out var history, out var refusal)) return refusal;
        if (CheckWare(ware) is { } unfit) return unfit;
        if (!(hours > 0 && kilnCPerHour > 0)) return Refusal.Invalid("firings.deadline-out-of-range", "Give hours and a kiln rate above 0.", "/hours");
        var candled = SchedulePassings.CandledHours(history) >= WareLimits.DryingHoldHours(ware.ThickestWallMm ?? 0);
        var stretches = Stretches(schedule, ware, kilnCPerHour, candled);

        var shortest = Total(stretches, MostFactor);
        if (shortest > hours * SecondsPerHour) return TooSoon(hours, shortest, stretches, ware);
        if (Total(stretches, LeastFactor) < hours * SecondsPerHour)
            return Refusal.Rule("firings.deadline-too-late", $"No slow-down fills {hours:0.#} h. Start later, or add holds.", "/hours");
        double low = LeastFactor, high = MostFactor;
        for (var i = 0; i < Halvings; i++)
        {
            var factor = Math.Sqrt(low * high);
            if (Total(stretches, factor) > hours * SecondsPerHour) low = factor;
            else high = factor;
        }
        return schedule with { Segments = Joined(stretches, high) };
    }

    private sealed record Stretch(double FromC, double ToC, double Rate, double HoldMinutes, double MostCPerHour, bool Fixed, KeyTemperature? Key)
    {
        public double RateAt(double factor) => Math.Min(Fixed ? Rate : Rate * factor, MostCPerHour);

        public double Seconds(double factor) => Math.Abs(ToC - FromC) / RateAt(factor) * SecondsPerHour + HoldMinutes * 60;
    }

    private static double Total(List<Stretch> stretches, double factor) => stretches.Sum(stretch => stretch.Seconds(factor));

    // Cuts every ramp where a key temperature or the last 100 °C begin or end.
    private static List<Stretch> Stretches(FiringSchedule schedule, ScheduleWare ware, double kiln, bool candled)
    {
        var endZone = schedule.PeakC - Cones.TemperatureHistory.EndOfClimbC;
        var cuts = KeyTemperatures.All.SelectMany(key => new[] { key.WatchedFromC, key.WatchedToC }).Append(endZone).Distinct().ToArray();
        var stretches = new List<Stretch>();
        var at = schedule.StartC;
        foreach (var segment in schedule.Segments)
        {
            var climbing = segment.ToC > at;
            var inside = cuts.Where(cut => cut > Math.Min(at, segment.ToC) && cut < Math.Max(at, segment.ToC));
            var stops = (climbing ? inside.Order() : inside.OrderDescending()).Append(segment.ToC).ToArray();
            foreach (var stop in stops)
            {
                var middle = (at + stop) / 2;
                var key = KeyTemperatures.All
                    .Where(k => middle > k.WatchedFromC && middle < k.WatchedToC && (climbing ? k.WhenHeating : k.WhenCooling))
                    .MinBy(k => WareLimits.FastestCPerHour(k, climbing, ware, candled));
                var kind = key is null ? double.PositiveInfinity : WareLimits.FastestCPerHour(key, climbing, ware, candled)!.Value;
                var hold = stop.Equals(segment.ToC) ? segment.HoldMinutes : 0;
                stretches.Add(new Stretch(at, stop, segment.RateCPerHour!.Value, hold, Math.Min(kiln, kind), climbing && middle > endZone, key));
                at = stop;
            }
        }
        return stretches;
    }

    private static List<Segment> Joined(List<Stretch> stretches, double factor)
    {
        var segments = new List<Segment>();
        var rising = false;
        foreach (var stretch in stretches)
        {
            var rate = Math.Round(stretch.RateAt(factor), RateDecimals);
            var goesOn = segments.Count > 0 && segments[^1].HoldMinutes.Equals(0)
                && rising == stretch.ToC > stretch.FromC && segments[^1].RateCPerHour!.Value.Equals(rate);
            if (goesOn) segments[^1] = segments[^1] with { ToC = stretch.ToC, HoldMinutes = stretch.HoldMinutes };
            else segments.Add(new Segment(rate, stretch.ToC, stretch.HoldMinutes));
            rising = stretch.ToC > stretch.FromC;
        }
        return segments;
    }

    private static Refusal? CheckWare(ScheduleWare ware)
    {
        if (ware.IsDamp)
            return Refusal.Rule(
                "firings.ware-not-dry", "The ware is not dry and must not pass 100 °C. Dry it through first; no schedule makes up for that.");
        return ware.ThickestWallMm is not null
            ? ware.Check()
            : Refusal.Rule(
                "firings.walls-not-known",
                "Say how thick the thickest wall is, in mm: it decides how fast the kiln may pass 100 and 573 °C.",
                "/ware/thickestWallMm");
    }

    private static Refusal TooSoon(double hours, double shortestSeconds, List<Stretch> stretches, ScheduleWare ware)
    {
        var limits = stretches.Where(stretch => stretch.Key is not null)
            .Select(stretch => $"{Where(stretch.Key!)} °C at {stretch.MostCPerHour:0} °C/h").Distinct(StringComparer.Ordinal);
        var shortest = shortestSeconds / SecondsPerHour;
        return Refusal.Rule(
            "firings.deadline-too-soon",
            $"This schedule cannot be done in {hours:0.#} h: the shortest is {shortest:0.0} h with walls of "
                + $"{ware.ThickestWallMm:0.#} mm, which pass "
            + $"{string.Join(" and ", limits)} at the most. Start earlier, take out holds, or take the thick pieces out of this firing.",
            "/hours") with
        { Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["shortestHours"] = Math.Round(shortest, 3) } };
    }

    private static string Where(KeyTemperature key) => key.FromC.Equals(key.ToC) ? $"{key.FromC:0}" : $"{key.FromC:0} to {key.ToC:0}";
}
