using KilnShare.Core.Common;

namespace KilnShare.Core.Cones;

/// <summary>
/// How one cone answers to heat: it is down once ∫exp(−E/R·(1/T − 1/T₀))dt reaches <see cref="SecondsAtReference"/>. T₀ is the
/// temperature tabulated for the middle rate, so that the integral reads as "so many seconds at T₀".
/// </summary>
/// <remarks>
/// Source: the form is Kissinger's, Anal. Chem. 29 (1957) 1702; the figures are fitted here to the cone maker's table (2016).
/// E is an apparent value of this cone, without meaning for any other.
/// Valid for: the rates it was fitted over, and peaks within about 30 °C of the cone's tabulated ones.
/// Accuracy: every tabulated cell is met within 3 °C (one iron-free cone: 3.5; cone 7 at 150 °C/h: 3.9); that of the middle rate exactly,
/// wherever the others allow it.
/// </remarks>
/// <param name="Cone">The cone.</param>
/// <param name="ActivationJPerMol">Apparent activation energy E, J/mol.</param>
/// <param name="ReferenceKelvin">T₀, K.</param>
/// <param name="SecondsAtReference">Duration at T₀ that brings the cone down, s.</param>
/// <param name="FittedRatesCPerHour">The tabulated rates behind the fit, rising, °C/h.</param>
public sealed record ConeKinetics(
    Cone Cone, double ActivationJPerMol, double ReferenceKelvin, double SecondsAtReference, IReadOnlyList<double> FittedRatesCPerHour)
{
    /// <summary>The molar gas constant, J/(mol·K). Source: CODATA 2018, exact since the SI of 2019.</summary>
    public const double GasConstantJPerMolK = 8.314462618;

    /// <summary>0 °C, K. Source: definition of the degree Celsius.</summary>
    public const double ZeroCelsiusK = 273.15;

    private const double MiddleRateCPerHour = 60;
    private const double SecondsPerHour = 3600;

    // No cell of the table may be missed by more for the sake of the middle one.
    private const double LargestMissC = 3;

    // The three cells of cone 7 are the farthest from one line of all cones in daily use. Firings end at about the middle rate, and holds
    // between cone 6 and cone 7 hang on that cell (1.6 minutes a degree), so here its fast cell gives way a little more.
    private const double LargestMissOfCone7C = 3.9;

    private static readonly IReadOnlyList<ConeKinetics>[] Fitted = [.. Enum.GetValues<ConeSeries>().Select(series => Fit(ConeTable.Of(series)))];

    /// <summary>E/R, K.</summary>
    public double ActivationKelvin => ActivationJPerMol / GasConstantJPerMolK;

    /// <summary>The kinetics of every cone of a series, cold to hot; empty where the table has one rate only.</summary>
    public static IReadOnlyList<ConeKinetics> OfSeries(ConeSeries series) => Fitted[(int)series];

    /// <summary>The kinetics of one cone; refused where the table has one rate only, has no such cone, or misprints it.</summary>
    public static Result<ConeKinetics> Of(ConeSeries series, Cone cone)
    {
        var fitted = OfSeries(series);
        if (fitted.Count == 0)
            return Refusal.Rule(
                "cones.no-kinetics",
                "Cones of this series are tabulated at one rate only, which does not tell how they answer to holds. "
                + "Ask for self-supporting or large cones.",
                "/series");
        return fitted.FirstOrDefault(kinetics => kinetics.Cone == cone) is { } found
            ? found
            : ConeTables.At(series, cone, MiddleRateCPerHour).Refusal!;
    }

    /// <summary>Duration at the peak of a constant climb that does as much as the whole climb, s.</summary>
    /// <remarks>Source: leading term of the integral, RT²/(Eβ). Units: K, °C/h. Accuracy: 4 % (it leaves out terms in RT/E).</remarks>
    public double SecondsAtPeakOfClimb(double peakKelvin, double rateCPerHour) =>
        GasConstantJPerMolK * peakKelvin * peakKelvin / (ActivationJPerMol * rateCPerHour) * SecondsPerHour;

    private static IReadOnlyList<ConeKinetics> Fit(ConeTable table) =>
        table.RatesCPerHour.Count < 2 ? [] : [.. table.Rows.Select(Fit)];

    private static ConeKinetics Fit(ConeRow row)
    {
        var kelvin = row.Celsius.Select(c => c + ZeroCelsiusK).ToArray();
        var energy = KissingerEnergy(row.RatesCPerHour, kelvin);
        var middle = Math.Max(0, Array.IndexOf(row.RatesCPerHour, MiddleRateCPerHour));
        var reference = kelvin[middle];

        double LogSeconds(int cell, double awayC) =>
            Math.Log(ClimbSeconds(energy / GasConstantJPerMolK, reference, kelvin[cell] + awayC, row.RatesCPerHour[cell]));
        var missC = row.Cone.Name == "7" ? LargestMissOfCone7C : LargestMissC;
        var (least, most) = (double.NegativeInfinity, double.PositiveInfinity);
        for (var cell = 0; cell < kelvin.Length; cell++)
        {
            least = Math.Max(least, LogSeconds(cell, -missC));
            most = Math.Min(most, LogSeconds(cell, missC));
        }
        // Where no value keeps every cell within the miss, the middle between the two worst is the best there is.
        var logSeconds = least > most ? (least + most) / 2 : Math.Clamp(LogSeconds(middle, 0), least, most);
        return new ConeKinetics(row.Cone, energy, reference, Math.Exp(logSeconds), row.RatesCPerHour);
    }

    /// <summary>Apparent activation energy from rates and end points, J/mol.</summary>
    /// <remarks>Source: Kissinger, Anal. Chem. 29 (1957) 1702: ln(β/T²) is a straight line over 1/T of slope −E/R; least squares.</remarks>
    internal static double KissingerEnergy(ReadOnlySpan<double> ratesCPerHour, ReadOnlySpan<double> kelvin)
    {
        double sumX = 0, sumY = 0, sumXx = 0, sumXy = 0;
        var n = kelvin.Length;
        // Centred on the first point, since the inverse temperatures differ in their third digit only.
        for (var i = 1; i < n; i++)
        {
            var x = 1 / kelvin[i] - 1 / kelvin[0];
            var y = Math.Log(ratesCPerHour[i] / ratesCPerHour[0]) - 2 * Math.Log(kelvin[i] / kelvin[0]);
            sumX += x;
            sumY += y;
            sumXx += x * x;
            sumXy += x * y;
        }
        return -(sumXy - sumX * sumY / n) / (sumXx - sumX * sumX / n) * GasConstantJPerMolK;
    }

    /// <summary>The integral over a constant climb from absolute zero (nothing happens in its first hundreds of degrees), s at T₀.</summary>
    private static double ClimbSeconds(double activationKelvin, double reference, double peakKelvin, double rateCPerHour)
    {
        var x = activationKelvin / peakKelvin;
        return peakKelvin * Math.Exp(activationKelvin / reference - x) * ArrheniusIntegral.ScaledE2(x) / rateCPerHour * SecondsPerHour;
    }
}
