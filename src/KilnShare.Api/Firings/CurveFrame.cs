using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Api.Firings;

/// <summary>Where hours and temperatures of a firing's picture lie on the paper.</summary>
internal sealed record CurveFrame(double FirstHour, double LastHour, double LowestC, double HighestC, LogUnit Unit)
{
    public const double Width = 480;
    public const double Height = 474;
    public const double Left = 50;
    public const double Right = 368;
    public const double Top = 74;
    public const double Bottom = 310;
    public const double ProgressTop = 358;
    public const double ProgressBottom = 434;

    private const int MostHourTicks = 8;
    private const int MostDegreeTicks = 8;

    private static readonly double[] HourSteps = [0.25, 0.5, 1, 2, 3, 4, 6, 12, 24, 48, 96, 192, 384];
    private static readonly double[] DegreeSteps = [10, 20, 50, 100, 200, 400, 500];

    /// <summary>The frame that holds all of a curve.</summary>
    public static CurveFrame Of(FiringCurve curve, LogUnit unit)
    {
        var points = curve.Measured.Concat(curve.Planned).ToList();
        var (first, last) = (Math.Min(0, points.Min(p => p.AtHours)), points.Max(p => p.AtHours));
        return new CurveFrame(first, Math.Max(last, first + HourSteps[0]), Math.Min(0, points.Min(p => p.Value)), points.Max(p => p.Value) * 1.04 + 10, unit);
    }

    /// <summary>From left to right.</summary>
    public double X(double hours) => Left + ((hours - FirstHour) / (LastHour - FirstHour) * (Right - Left));

    /// <summary>From top to bottom.</summary>
    public double Y(double celsius) => Bottom - ((celsius - LowestC) / (HighestC - LowestC) * (Bottom - Top));

    /// <summary>Progress of a cone, 0 to 1, in the lower panel.</summary>
    public static double ProgressY(double progress) => ProgressBottom - (progress * (ProgressBottom - ProgressTop));

    /// <summary>Hours to be marked.</summary>
    public IEnumerable<double> HourTicks() =>
        Ticks(FirstHour, LastHour, HourSteps.First(s => (LastHour - FirstHour) / s <= MostHourTicks || s == HourSteps[^1]));

    /// <summary>Temperatures to be marked, with the figure in the picture's unit.</summary>
    public IEnumerable<(double Celsius, double Shown)> DegreeTicks()
    {
        var (low, high) = (Shown(LowestC), Shown(HighestC));
        var step = DegreeSteps.First(s => (high - low) / s <= MostDegreeTicks || s == DegreeSteps[^1]);
        return Ticks(low, high, step).Select(shown => (Unit == LogUnit.Celsius ? shown : TemperatureUnits.ToCelsius(shown), shown));
    }

    /// <summary>A temperature in the picture's unit.</summary>
    public double Shown(double celsius) => Unit == LogUnit.Celsius ? celsius : TemperatureUnits.ToFahrenheit(celsius);

    /// <summary>A temperature in words.</summary>
    public string Degrees(double celsius) => $"{Math.Round(Shown(celsius)):0} {UnitSign}";

    /// <summary>The unit's sign.</summary>
    public string UnitSign => Unit == LogUnit.Celsius ? "°C" : "°F";

    private static IEnumerable<double> Ticks(double from, double to, double step)
    {
        for (var k = Math.Ceiling(from / step); k * step <= to; k++) yield return k * step;
    }
}
