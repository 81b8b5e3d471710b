using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>What a log says of a kiln being switched on.</summary>
public static class LogLighting
{
    /// <summary>A kiln that climbed so far above its coolest reading is on: no weather does that.</summary>
    /// <remarks>Common practice, no source. Units: °C.</remarks>
    public const double ClimbC = 30;

    /// <summary>A kiln with ware in it that is so hot is on: it could not have been loaded.</summary>
    /// <remarks>Source: a kiln is not opened above 120 °C (250 °F) (owners' manuals). Units: °C.</remarks>
    public const double HotC = 120;

    // Thermocouples and their amplifiers wander so far in a cold kiln (common practice, no source).
    private const double WanderC = 3;

    /// <summary>
    /// When the kiln began to climb: the line of its first climb, drawn back to where it was coolest, and not before its last reading down there. Null while
    /// it has not climbed.
    /// </summary>
    /// <param name="readings">In the order of time. Of a climb two readings must tell, so that one loose contact is none.</param>
    public static Instant? StartOfClimb(IReadOnlyList<LogReading> readings)
    {
        var (coolest, last) = (double.PositiveInfinity, 0);
        for (var i = 0; i < readings.Count; i++)
        {
            var celsius = readings[i].Celsius;
            if (celsius < coolest) (coolest, last) = (celsius, i);
            else if (celsius <= coolest + WanderC) last = i;
            if (celsius >= coolest + ClimbC && i + 1 < readings.Count && readings[i + 1].Celsius >= coolest + ClimbC)
                return DrawnBack(readings, last, i, coolest);
        }
        return null;
    }

    private static Instant DrawnBack(IReadOnlyList<LogReading> readings, int last, int climbed, double coolest)
    {
        var foot = last;
        while (foot > 0 && readings[foot].Celsius > coolest) foot--;
        var (from, to) = (readings[last], readings[climbed]);
        var seconds = (to.At - from.At).TotalSeconds * (from.Celsius - coolest) / (to.Celsius - from.Celsius);
        return Instant.Max(from.At - Duration.FromSeconds(seconds), readings[foot].At);
    }

    /// <summary>True where a loaded kiln cannot be cold: the newest two readings are hotter than one may open a kiln.</summary>
    public static bool IsHot(IReadOnlyList<LogReading> readings) => readings.Count >= 2 && readings[^1].Celsius >= HotC && readings[^2].Celsius >= HotC;
}
