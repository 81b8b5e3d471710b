namespace KilnShare.Core.Cones;

/// <summary>
/// Celsius and Fahrenheit, for temperatures and for rates. What was entered in °F comes back as it was entered: answers in °F are
/// rounded to nine decimals, far below any reading and far above the rounding of a double.
/// </summary>
/// <remarks>Source: definition of the degree Fahrenheit: t/°F = 1.8·t/°C + 32.</remarks>
public static class TemperatureUnits
{
    private const double FahrenheitPerCelsius = 1.8;
    private const double FreezingPointF = 32;
    private const int DecimalsKept = 9;

    /// <summary>A temperature in °F.</summary>
    public static double ToFahrenheit(double celsius) => Math.Round(celsius * FahrenheitPerCelsius + FreezingPointF, DecimalsKept);

    /// <summary>A temperature in °C.</summary>
    public static double ToCelsius(double fahrenheit) => (fahrenheit - FreezingPointF) / FahrenheitPerCelsius;

    /// <summary>A rate, or a difference of temperatures, in °F.</summary>
    public static double DifferenceToFahrenheit(double celsius) => Math.Round(celsius * FahrenheitPerCelsius, DecimalsKept);

    /// <summary>A rate, or a difference of temperatures, in °C.</summary>
    public static double DifferenceToCelsius(double fahrenheit) => fahrenheit / FahrenheitPerCelsius;
}
