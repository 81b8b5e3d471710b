using KilnShare.Core.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>One step of a firing schedule: go to a temperature at a rate, then hold it.</summary>
/// <param name="RateCPerHour">Positive up or down, °C/h; null is "as fast as the kiln can".</param>
/// <param name="ToC">The temperature to reach, °C.</param>
/// <param name="HoldMinutes">How long to stay there, min.</param>
public sealed record Segment(double? RateCPerHour, double ToC, double HoldMinutes);

/// <summary>Ramps and holds, from the temperature the kiln stands at when it is switched on.</summary>
/// <param name="StartC">Temperature at the start, °C.</param>
/// <param name="Segments">Steps, in order.</param>
public sealed record FiringSchedule(double StartC, IReadOnlyList<Segment> Segments)
{
    /// <summary>Most segments a schedule may have.</summary>
    public const int MostSegments = 64;

    /// <summary>Fastest rate that may be asked for, °C/h.</summary>
    public const double FastestRateCPerHour = 2000;

    /// <summary>Slowest rate that may be asked for, °C/h.</summary>
    public const double SlowestRateCPerHour = 0.1;

    /// <summary>Longest hold, min: one week.</summary>
    public const double LongestHoldMinutes = 7 * 24 * 60;

    private const double SecondsPerHour = 3600;
    private const double SecondsPerMinute = 60;

    /// <summary>The highest temperature it asks for, °C.</summary>
    public double PeakC => Segments.Aggregate(StartC, (peak, segment) => Math.Max(peak, segment.ToC));

    /// <summary>Equal when every step is.</summary>
    public bool Equals(FiringSchedule? other) =>
        other is not null && StartC.Equals(other.StartC) && Segments.SequenceEqual(other.Segments);

    /// <inheritdoc/>
    public override int GetHashCode() => Segments.Aggregate(StartC.GetHashCode(), HashCode.Combine);

    /// <summary>A schedule entered in °F and °F/h.</summary>
    public static FiringSchedule OfFahrenheit(double startF, IReadOnlyList<Segment> fahrenheit) => new(
        TemperatureUnits.ToCelsius(startF),
        [.. fahrenheit.Select(s => new Segment(
            s.RateCPerHour is { } rate ? TemperatureUnits.DifferenceToCelsius(rate) : null, TemperatureUnits.ToCelsius(s.ToC), s.HoldMinutes))]);

    /// <summary>Start and steps in °F and °F/h, as they were entered.</summary>
    public (double StartF, IReadOnlyList<Segment> Segments) ToFahrenheit() => (
        TemperatureUnits.ToFahrenheit(StartC),
        [.. Segments.Select(s => new Segment(
            s.RateCPerHour is { } rate ? TemperatureUnits.DifferenceToFahrenheit(rate) : null, TemperatureUnits.ToFahrenheit(s.ToC), s.HoldMinutes))]);

    /// <summary>Null where the schedule makes sense, else what is wrong with it.</summary>
    public Refusal? Check()
    {
        if (Segments.Count is 0 or > MostSegments)
            return Refusal.Invalid("firings.segments-out-of-range", $"A schedule has 1 to {MostSegments} segments.", "/segments");
        if (!InRange(StartC)) return Temperature(StartC, "/startC");
        for (var i = 0; i < Segments.Count; i++)
            if (CheckSegment(Segments[i], $"/segments/{i}") is { } refusal)
                return refusal;
        return null;
    }

    /// <summary>The temperatures it asks for, as straight lines from the moment of switching on (0 s).</summary>
    public Result<TemperatureHistory> ToHistory()
    {
        if (Check() is { } refusal) return refusal;
        var (seconds, celsius) = (new List<double> { 0 }, new List<double> { StartC });
        for (var i = 0; i < Segments.Count; i++)
        {
            var segment = Segments[i];
            if (segment.RateCPerHour is not { } rate) return NeedsKiln(i);
            Go(Math.Abs(segment.ToC - celsius[^1]) / rate * SecondsPerHour, segment.ToC);
            Go(segment.HoldMinutes * SecondsPerMinute, segment.ToC);
        }
        return seconds.Count > 1
            ? TemperatureHistory.Of([.. seconds], [.. celsius])
            : Refusal.Invalid("firings.schedule-does-nothing", "The schedule neither heats nor holds. Give a temperature to reach.", "/segments");

        void Go(double duration, double toC)
        {
            var then = seconds[^1] + duration;
            if (then <= seconds[^1]) return; // nothing to do, or less than a double can tell
            seconds.Add(then);
            celsius.Add(toC);
        }
    }

    private static Refusal? CheckSegment(Segment segment, string pointer)
    {
        if (segment.RateCPerHour is { } rate && !(rate >= SlowestRateCPerHour && rate <= FastestRateCPerHour))
            return Refusal.Invalid(
                "firings.rate-out-of-range",
                $"A rate is from {SlowestRateCPerHour} to {FastestRateCPerHour} °C/h, positive up or down; leave it out "
                    + "for as fast as the kiln can.",
                pointer + "/rateCPerHour");
        if (!InRange(segment.ToC)) return Temperature(segment.ToC, pointer + "/toC");
        return segment.HoldMinutes >= 0 && segment.HoldMinutes <= LongestHoldMinutes
            ? null
            : Refusal.Invalid("firings.hold-out-of-range", $"A hold is from 0 to {LongestHoldMinutes} minutes.", pointer + "/holdMinutes");
    }

    private static bool InRange(double celsius) => celsius >= TemperatureHistory.LowestC && celsius <= TemperatureHistory.HighestC;

    private static Refusal Temperature(double celsius, string pointer) => Refusal.Invalid(
        "firings.temperature-out-of-range",
        $"{celsius} °C is not a temperature of a kiln: give {TemperatureHistory.LowestC} to {TemperatureHistory.HighestC} °C.",
        pointer);

    private static Refusal NeedsKiln(int index) => Refusal.Rule(
        "firings.rate-needs-kiln",
        $"Segment {index + 1} goes as fast as the kiln can, so a kiln is needed to tell how fast that is. Name the kiln, or give a rate.",
        $"/segments/{index}/rateCPerHour");
}
