using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>A temperature at a regular moment of a resampled log.</summary>
/// <param name="AtSeconds">s from the start of the firing.</param>
/// <param name="Celsius">°C; null where the log has a hole there.</param>
public readonly record struct LogSample(double AtSeconds, double? Celsius);

/// <summary>The temperature history a log tells of, with what was left out of it.</summary>
/// <param name="History">Seconds from the start of the firing.</param>
/// <param name="SpikesLeftOut">Readings that jumped away and back again, as a loose contact makes them.</param>
/// <param name="LongestSilenceSeconds">The longest time between two readings, s; across it the temperature is taken to be straight.</param>
public sealed record LogCurve(TemperatureHistory History, int SpikesLeftOut, double LongestSilenceSeconds)
{
    /// <summary>No kiln changes faster, °C/h (common practice, no source: small test kilns reach about 1000).</summary>
    public const double FastestBelievableCPerHour = 3000;

    /// <summary>A jump smaller than this is noise, not a spike, °C.</summary>
    public const double LeastSpikeC = 50;

    private const double SecondsPerHour = 3600;

    /// <summary>The curve of these readings.</summary>
    /// <param name="readings">In the order of time.</param>
    /// <param name="start">When the firing began.</param>
    public static Result<LogCurve> Of(IReadOnlyList<LogReading> readings, Instant start)
    {
        var (seconds, celsius, spikes, silence) = (new List<double>(readings.Count), new List<double>(readings.Count), 0, 0.0);
        for (var i = 0; i < readings.Count; i++)
        {
            if (i > 0 && i + 1 < readings.Count && IsSpike(readings[i - 1], readings[i], readings[i + 1]))
            {
                spikes++;
                continue;
            }
            var at = (readings[i].At - start).TotalSeconds;
            if (seconds.Count > 0 && at <= seconds[^1]) continue; // two runs may meet in one moment
            if (seconds.Count > 0) silence = Math.Max(silence, at - seconds[^1]);
            seconds.Add(at);
            celsius.Add(readings[i].Celsius);
        }
        return TemperatureHistory.Of([.. seconds], [.. celsius]).Then<LogCurve>(history => new LogCurve(history, spikes, silence));
    }

    /// <summary>Temperatures at regular moments, straight between readings; null across silences longer than that.</summary>
    /// <param name="stepSeconds">From one moment to the next, s.</param>
    /// <param name="longestSilenceSeconds">Longer silences are holes, s.</param>
    public IReadOnlyList<LogSample> Every(double stepSeconds, double longestSilenceSeconds)
    {
        if (!(stepSeconds > 0)) throw new ArgumentOutOfRangeException(nameof(stepSeconds), "A step is longer than nothing.");
        var seconds = History.Seconds;
        var samples = new List<LogSample>();
        var next = 1;
        for (var k = Math.Ceiling(seconds[0] / stepSeconds); k * stepSeconds <= seconds[^1]; k++)
        {
            var at = k * stepSeconds;
            while (next < seconds.Length - 1 && seconds[next] < at) next++;
            var inHole = seconds[next] - seconds[next - 1] > longestSilenceSeconds && at > seconds[next - 1] && at < seconds[next];
            samples.Add(new LogSample(at, inHole ? null : History.At(at)));
        }
        return samples;
    }

    private static bool IsSpike(LogReading before, LogReading reading, LogReading after)
    {
        var (away, back) = (reading.Celsius - before.Celsius, after.Celsius - reading.Celsius);
        return away * back < 0 && Unbelievable(before, reading) && Unbelievable(reading, after);
    }

    private static bool Unbelievable(LogReading a, LogReading b)
    {
        var change = Math.Abs(b.Celsius - a.Celsius);
        return change > LeastSpikeC && change * SecondsPerHour > FastestBelievableCPerHour * (b.At - a.At).TotalSeconds;
    }
}
