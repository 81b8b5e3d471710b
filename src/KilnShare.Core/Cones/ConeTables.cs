using KilnShare.Core.Common;

namespace KilnShare.Core.Cones;

/// <summary>How a figure stands to the maker's table.</summary>
public enum EquivalentBasis
{
    /// <summary>A figure of the table itself.</summary>
    Tabulated,

    /// <summary>Between two tabulated rates.</summary>
    Interpolated,

    /// <summary>Beyond the tabulated rates: a guide, to be checked with a cone in the kiln.</summary>
    Extrapolated,
}

/// <summary>The temperature at which a cone is down when it is heated at some rate.</summary>
/// <param name="Cone">The cone.</param>
/// <param name="Celsius">Temperature of its end point, °C, not rounded.</param>
/// <param name="Fahrenheit">The same, °F.</param>
/// <param name="Basis">Whether the table says it or it was worked out.</param>
public sealed record ConeEquivalent(Cone Cone, double Celsius, double Fahrenheit, EquivalentBasis Basis);

/// <summary>
/// Cone temperatures by the maker's table. The rate is the one over the last 100 °C of heating, not the average of the firing.
/// </summary>
public static class ConeTables
{
    /// <summary>Slowest rate that is answered, °C/h; the table ends at 15, so this is far out already.</summary>
    public const double SlowestRateCPerHour = 1;

    /// <summary>Fastest rate that is answered, °C/h; the table ends at 150 (small cones: 300).</summary>
    public const double FastestRateCPerHour = 600;

    /// <summary>The edition of the maker's table that a series is taken from.</summary>
    public static string Edition(ConeSeries series) => ConeTable.Of(series).Edition;

    /// <summary>The rates a series is tabulated at, rising, °C/h.</summary>
    public static IReadOnlyList<double> TabulatedRatesCPerHour(ConeSeries series) => ConeTable.Of(series).RatesCPerHour;

    /// <summary>Null where the series can answer at that rate, else why it cannot.</summary>
    public static Refusal? CheckRate(ConeSeries series, double rateCPerHour)
    {
        if (!double.IsFinite(rateCPerHour) || rateCPerHour < SlowestRateCPerHour || rateCPerHour > FastestRateCPerHour)
            return Refusal.Invalid(
                "cones.rate-out-of-range",
                $"Give the rate over the last 100 °C of heating, from {SlowestRateCPerHour} to {FastestRateCPerHour} °C/h.",
                "/rateCPerHour");
        var rates = ConeTable.Of(series).RatesCPerHour;
        return rates.Count > 1 || Same(rates[0], rateCPerHour)
            ? null
            : Refusal.Rule(
                "cones.one-rate-only",
                $"Cones of this series are tabulated at {rates[0]} °C/h only, so nothing can be said at {rateCPerHour:0.#} °C/h. "
                + $"Ask at {rates[0]} °C/h, or use self-supporting or large cones.",
                "/rateCPerHour");
    }

    /// <summary>The temperature at which a cone is down.</summary>
    /// <remarks>
    /// Source: the maker's table (2016); between two rates temperature is linear in the logarithm of the rate.
    /// Units: °C/h in, °C and °F out.
    /// Valid for: the tabulated rates (15 to 150 °C/h, where a cone has all three); beyond them the nearest two are continued and the
    /// answer says so. A continued line never takes a cone below a softer one.
    /// Accuracy: the maker claims ±2 °C for the cones themselves.
    /// </remarks>
    public static Result<ConeEquivalent> At(ConeSeries series, Cone cone, double rateCPerHour)
    {
        if (CheckRate(series, rateCPerHour) is { } refusal) return refusal;
        var table = ConeTable.Of(series);
        if (table.RowOf(cone) is not { } row) return NotInSeries(table, cone);
        if (row.IsMisprint) return Misprint(row);
        return Equivalent(table, row, rateCPerHour);
    }

    /// <summary>Every cone of a series that the table can be trusted for, cold to hot.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The series has no answer at that rate: see <see cref="CheckRate"/>.</exception>
    public static IReadOnlyList<ConeEquivalent> List(ConeSeries series, double rateCPerHour)
    {
        if (CheckRate(series, rateCPerHour) is { } refusal) throw new ArgumentOutOfRangeException(nameof(rateCPerHour), refusal.Message);
        var table = ConeTable.Of(series);
        return [.. table.Rows.Select(row => Equivalent(table, row, rateCPerHour))];
    }

    private static ConeEquivalent Equivalent(ConeTable table, ConeRow row, double rateCPerHour)
    {
        var basis = BasisOf(row, rateCPerHour);
        var celsius = OnLine(row, rateCPerHour);
        if (basis == EquivalentBasis.Extrapolated)
            foreach (var softer in table.Rows.TakeWhile(other => other.Cone < row.Cone))
                celsius = Math.Max(celsius, OnLine(softer, rateCPerHour));
        return new ConeEquivalent(row.Cone, celsius, TemperatureUnits.ToFahrenheit(celsius), basis);
    }

    private static EquivalentBasis BasisOf(ConeRow row, double rateCPerHour)
    {
        foreach (var rate in row.RatesCPerHour)
            if (Same(rate, rateCPerHour))
                return EquivalentBasis.Tabulated;
        return rateCPerHour > row.RatesCPerHour[0] && rateCPerHour < row.RatesCPerHour[^1]
            ? EquivalentBasis.Interpolated
            : EquivalentBasis.Extrapolated;
    }

    private static double OnLine(ConeRow row, double rateCPerHour)
    {
        var rates = row.RatesCPerHour;
        for (var i = 0; i < rates.Length; i++)
            if (Same(rates[i], rateCPerHour))
                return row.Celsius[i];
        var upper = 1;
        while (upper < rates.Length - 1 && rateCPerHour > rates[upper]) upper++;
        var part = Math.Log(rateCPerHour / rates[upper - 1]) / Math.Log(rates[upper] / rates[upper - 1]);
        return row.Celsius[upper - 1] + part * (row.Celsius[upper] - row.Celsius[upper - 1]);
    }

    // A rate of 108 °F/h comes in as 60 °C/h but for the last bit.
    private static bool Same(double a, double b) => Math.Abs(a - b) <= 1e-9 * b;

    private static Refusal NotInSeries(ConeTable table, Cone cone) => Refusal.Rule(
        "cones.not-in-series",
        $"There is no cone {cone} in this series: it has the cones {string.Join(", ", table.Rows.Select(row => row.Cone.Name))}. "
        + "Take one of these, or another series.",
        "/cone");

    private static Refusal Misprint(ConeRow row) => Refusal.Rule(
        "cones.misprint",
        $"The maker's table for cone {row.Cone} of this series cannot be right: it gives {row.Celsius[0]} °C at "
            + $"{row.RatesCPerHour[0]} °C/h "
        + $"but only {row.Celsius[^1]} °C at {row.RatesCPerHour[^1]} °C/h, and faster heating never brings a cone down sooner. "
        + "Use the self-supporting cone of that number.",
        "/cone");
}
