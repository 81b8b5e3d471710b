using System.Globalization;
using KilnShare.Core.Cones;

namespace KilnShare.Core.CoFiring;

/// <summary>A cone in words, with its temperature.</summary>
internal static class ConeText
{
    private const double RateCPerHour = 60;

    /// <summary><c>cone 6 (1222 °C, 2232 °F at 60 °C/h)</c>, with the series where it is not the self-supporting one; without a temperature where its table has none.</summary>
    public static string With(Cone cone, ConeSeries? series = null)
    {
        var table = series ?? ConeSeries.SelfSupporting;
        var name = table == ConeSeries.SelfSupporting ? $"cone {cone}" : $"{Of(table)} cone {cone}";
        return ConeTables.At(table, cone, RateCPerHour).TryGet(out var at, out _)
            ? string.Create(CultureInfo.InvariantCulture, $"{name} ({at.Celsius:0} °C, {at.Fahrenheit:0} °F at {RateCPerHour:0} °C/h)") : name;
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
