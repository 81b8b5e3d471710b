using System.Globalization;
using KilnShare.Core.Cones;

namespace KilnShare.Core.CoFiring;

/// <summary>A cone in words, with its temperature.</summary>
internal static class ConeText
{
    private const double RateCPerHour = 60;

    // Every finding that names a cone says it in these words: they are put together once.
    private static readonly Dictionary<ConeSeries, string[]> Texts =
        Enum.GetValues<ConeSeries>().ToDictionary(series => series, series => Cone.All.Select(cone => Make(cone, series)).ToArray());

    /// <summary>
    /// <c>cone 6 (1222 °C, 2232 °F at 60 °C/h)</c>, with the series where it is not the self-supporting one; without a temperature where its table
    /// has none.
    /// </summary>
    public static string With(Cone cone, ConeSeries? series = null) => Texts[series ?? ConeSeries.SelfSupporting][cone.Order];

    private static string Make(Cone cone, ConeSeries table)
    {
        var name = table == ConeSeries.SelfSupporting ? $"cone {cone}" : $"{Of(table)} cone {cone}";
        return ConeTables.At(table, cone, RateCPerHour).TryGet(out var at, out _)
            ? string.Create(CultureInfo.InvariantCulture, $"{name} ({at.Celsius:0} °C, {at.Fahrenheit:0} °F at {RateCPerHour:0} °C/h)") : name;
    }

    /// <summary><c>Cone 6 is 1222 °C at 60 °C an hour</c>, to begin a sentence.</summary>
    public static string Beginning(Cone cone, ConeSeries series)
    {
        var rate = UsualRateCPerHour(series);
        return "Cone " + Short(cone, series) + (At(series, cone) is null ? "" : string.Create(CultureInfo.InvariantCulture, $" at {rate:0} °C an hour"));
    }

    /// <summary><c>06 is 998 °C (1828 °F)</c>.</summary>
    public static string Short(Cone cone, ConeSeries series) => At(series, cone) is { } at
        ? string.Create(CultureInfo.InvariantCulture, $"{cone} is {at.Celsius:0} °C ({at.Fahrenheit:0} °F)") : $"{cone}";

    /// <summary>Where the cone is down at the rate that cones are usually spoken of; null where its table has none.</summary>
    public static ConeEquivalent? At(ConeSeries series, Cone cone) =>
        ConeTables.At(series, cone, UsualRateCPerHour(series)).TryGet(out var at, out _) ? at : null;

    private static double UsualRateCPerHour(ConeSeries series)
    {
        var rates = ConeTables.TabulatedRatesCPerHour(series);
        return rates.Contains(RateCPerHour) ? RateCPerHour : rates[0];
    }

    /// <summary>The series in words.</summary>
    public static string Of(ConeSeries series) => series switch
    {
        ConeSeries.SelfSupporting => "self-supporting",
        ConeSeries.SelfSupportingIronFree => "iron-free",
        ConeSeries.Large => "large",
        _ => "small",
    };
}
