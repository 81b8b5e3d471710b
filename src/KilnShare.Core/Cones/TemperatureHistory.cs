using KilnShare.Core.Common;

namespace KilnShare.Core.Cones;

/// <summary>What a kiln's temperature did: straight lines between points in time. A log gives the points, a schedule its corners.</summary>
public sealed class TemperatureHistory
{
    /// <summary>Lowest temperature taken, °C: colder than any studio.</summary>
    public const double LowestC = -60;

    /// <summary>Highest temperature taken, °C: hotter than any cone of the tables.</summary>
    public const double HighestC = 1600;

    /// <summary>Longest history taken, s: 90 days, longer than any firing with its cooling.</summary>
    public const double LongestSeconds = 90.0 * 24 * 3600;

    /// <summary>The rate of a firing is the one over so many last degrees of the climb (the cone maker's rule).</summary>
    public const double EndOfClimbC = 100;

    // A log trembles about its peak during a hold; the climb ended when it first came this near.
    private const double AtThePeakC = 1;

    private const double SecondsPerHour = 3600;

    private readonly double[] seconds;
    private readonly double[] celsius;

    private TemperatureHistory(double[] seconds, double[] celsius)
    {
        this.seconds = seconds;
        this.celsius = celsius;
    }

    /// <summary>Points in time, rising, s.</summary>
    public ReadOnlySpan<double> Seconds => seconds;

    /// <summary>Temperature at each point, °C.</summary>
    public ReadOnlySpan<double> Celsius => celsius;

    /// <summary>From the first point to the last, h.</summary>
    public double Hours => (seconds[^1] - seconds[0]) / SecondsPerHour;

    /// <summary>The highest temperature, °C.</summary>
    public double PeakC
    {
        get
        {
            var peak = celsius[0];
            foreach (var c in celsius) peak = Math.Max(peak, c);
            return peak;
        }
    }

    /// <summary>A history through these points.</summary>
    /// <param name="seconds">Points in time, each later than the one before, s.</param>
    /// <param name="celsius">Temperature at each, °C.</param>
    public static Result<TemperatureHistory> Of(ReadOnlySpan<double> seconds, ReadOnlySpan<double> celsius)
    {
        if (seconds.Length != celsius.Length) throw new ArgumentException("Every point needs a time and a temperature.", nameof(celsius));
        if (seconds.Length < 2)
            return Refusal.Invalid("cones.too-few-readings", "Give at least two readings: one temperature alone has no duration.", "/readings");
        for (var i = 0; i < seconds.Length; i++)
        {
            if (!(celsius[i] >= LowestC && celsius[i] <= HighestC))
                return Refusal.Invalid(
                    "cones.temperature-out-of-range",
                    $"Reading {i} is {celsius[i]} °C; a kiln reads between {LowestC} and {HighestC} °C. Leave it out, or check the unit.",
                    $"/readings/{i}/celsius");
            if (!double.IsFinite(seconds[i]) || (i > 0 && seconds[i] <= seconds[i - 1]))
                return Refusal.Invalid(
                    "cones.time-runs-backward",
                    $"Reading {i} is not later than the one before it. Put the readings in the order of time, each time once.",
                    $"/readings/{i}/atSeconds");
        }
        if (!(seconds[^1] - seconds[0] <= LongestSeconds))
            return Refusal.Invalid(
                "cones.history-too-long", "The readings span more than 90 days. Give those of one firing only, with times in seconds.", "/readings");
        return new TemperatureHistory(seconds.ToArray(), celsius.ToArray());
    }

    /// <summary>The temperature at a moment, °C; before the first point and after the last it is theirs.</summary>
    public double At(double atSeconds)
    {
        var i = Array.BinarySearch(seconds, atSeconds);
        if (i >= 0) return celsius[i];
        var next = ~i;
        if (next == 0) return celsius[0];
        if (next == seconds.Length) return celsius[^1];
        var part = (atSeconds - seconds[next - 1]) / (seconds[next] - seconds[next - 1]);
        return celsius[next - 1] + part * (celsius[next] - celsius[next - 1]);
    }

    /// <summary>The mean rate over the last 100 °C climbed to the peak, °C/h; null when less was climbed.</summary>
    /// <remarks>Source: the cone maker's table gives its temperatures for the rate over the last 100 °C (180 °F).</remarks>
    public double? EndRateCPerHour
    {
        get
        {
            var top = ClimbEndIndex;
            var foot = celsius[top] - EndOfClimbC;
            for (var i = top - 1; i >= 0; i--)
                if (celsius[i] <= foot)
                    return EndOfClimbC / (seconds[top] - Crossing(i, foot)) * SecondsPerHour;
            return null;
        }
    }

    /// <summary>The point at which the climb to the peak ended.</summary>
    public int ClimbEndIndex
    {
        get
        {
            var peak = PeakC;
            var top = 0;
            while (celsius[top] < peak - AtThePeakC) top++;
            while (top + 1 < celsius.Length && celsius[top + 1] > celsius[top]) top++;
            return top;
        }
    }

    // Time at which the line from point i to i + 1 passes a temperature between them.
    private double Crossing(int i, double at) =>
        seconds[i] + (at - celsius[i]) / (celsius[i + 1] - celsius[i]) * (seconds[i + 1] - seconds[i]);
}
