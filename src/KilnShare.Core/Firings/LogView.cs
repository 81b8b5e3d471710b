using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>The end of a running log beside what the schedule asks for at the same time: what the alarm rules look at.</summary>
internal sealed class LogView
{
    private const double SecondsPerHour = 3600;
    private const double PlanStepSeconds = 60;

    // Slopes of all pairs of so many readings are compared at most.
    private const int MostCompared = 41;

    private readonly TemperatureHistory log;
    private readonly TemperatureHistory? plan;
    private readonly int windowFrom;

    public LogView(TemperatureHistory log, TemperatureHistory? plan, double nowSeconds, Cone target, Cone? harderConeDown)
    {
        this.log = log;
        this.plan = plan;
        Target = target;
        HarderConeDown = harderConeDown;
        SilentSeconds = nowSeconds - LastSeconds;
        windowFrom = FirstWithin(LogAlarms.WindowSeconds);
    }

    public Cone Target { get; }

    public Cone? HarderConeDown { get; }

    public double SilentSeconds { get; }

    public double LastSeconds => log.Seconds[^1];

    public double FirstC => log.Celsius[0];

    public double LastC => log.Celsius[^1];

    public double HighestC => log.PeakC;

    public double WindowStart => log.Seconds[windowFrom];

    public double WindowHighestC
    {
        get
        {
            var highest = log.Celsius[windowFrom];
            foreach (var c in log.Celsius[windowFrom..]) highest = Math.Max(highest, c);
            return highest;
        }
    }

    /// <summary>What the schedule asks for now, °C; null without one.</summary>
    public double? PlannedC => plan?.At(LastSeconds);

    public double? PlannedPeakC => plan?.PeakC;

    /// <summary>The rate the schedule asks for over the window, °C/h; null without a schedule and when it has ended.</summary>
    public double? AskedCPerHour => plan is null || LastSeconds > plan.Seconds[^1]
        ? null
        : (plan.At(LastSeconds) - plan.At(LastSeconds - PlanStepSeconds)) / PlanStepSeconds * SecondsPerHour;

    /// <summary>The schedule climbs or holds, or the kiln is behind it.</summary>
    public bool ShouldNotFall => AskedCPerHour >= 0 && PlannedC >= LastC;

    public string AskedWord => AskedCPerHour > 0 ? "climb" : "hold";

    /// <summary>The slope of the window: the median over pairs of readings, °C/h; null where it is too short.</summary>
    /// <remarks>Source: Theil (1950) and Sen, J. Am. Stat. Assoc. 63 (1968) 1379: a few wild readings do not move it.</remarks>
    public double? SlopeCPerHour
    {
        get
        {
            var points = log.Seconds.Length - windowFrom;
            if (LastSeconds - WindowStart < LogAlarms.WindowSeconds / 2) return null;
            var stride = Math.Max(1, (points + MostCompared - 1) / MostCompared);
            var slopes = new List<double>();
            for (var i = windowFrom; i < log.Seconds.Length; i += stride)
                for (var j = i + stride; j < log.Seconds.Length; j += stride)
                    slopes.Add((log.Celsius[j] - log.Celsius[i]) / (log.Seconds[j] - log.Seconds[i]) * SecondsPerHour);
            slopes.Sort();
            return slopes.Count == 0 ? null : slopes[slopes.Count / 2];
        }
    }

    /// <summary>How far the temperature fell across the last silence within the window, °C; 0 where there was none.</summary>
    public double DropAcrossLastSilence
    {
        get
        {
            for (var i = log.Seconds.Length - 1; i > Math.Max(0, windowFrom - 1); i--)
                if (log.Seconds[i] - log.Seconds[i - 1] > LogAlarms.SilentAfterSeconds)
                    return Math.Max(0, log.Celsius[i - 1] - log.Celsius[i]);
            return 0;
        }
    }

    /// <summary>A jump in the window that no kiln makes and that did not come back; null where there is none.</summary>
    public (double AtSeconds, double FromC, double ToC, double Seconds)? LastJump
    {
        get
        {
            for (var i = log.Seconds.Length - 1; i > windowFrom; i--)
            {
                var (change, duration) = (log.Celsius[i] - log.Celsius[i - 1], log.Seconds[i] - log.Seconds[i - 1]);
                if (Math.Abs(change) > 2 * LogCurve.LeastSpikeC && Math.Abs(change) / duration * SecondsPerHour > LogCurve.FastestBelievableCPerHour)
                    return (log.Seconds[i], log.Celsius[i - 1], log.Celsius[i], duration);
            }
            return null;
        }
    }

    private int FirstWithin(double seconds)
    {
        var i = log.Seconds.Length - 1;
        while (i > 0 && log.Seconds[i - 1] >= LastSeconds - seconds) i--;
        return i;
    }
}
