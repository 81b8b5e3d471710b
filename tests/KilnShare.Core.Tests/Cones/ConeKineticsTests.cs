using KilnShare.Core.Cones;

namespace KilnShare.Core.Tests.Cones;

public sealed class ConeKineticsTests
{
    private const double SecondsPerHour = 3600;

    // Source: computed with a 30-digit arithmetic package (mpmath, expint(2, x)·exp(x)).
    [Theory]
    [InlineData(15, 0.0591958133888613727)]
    [InlineData(30, 0.0313078372305962435)]
    [InlineData(80, 0.0121986669057112264)]
    public void The_closed_form_of_the_integral_is_the_exponential_integral(double x, double expected)
    {
        Assert.Equal(1, ArrheniusIntegral.ScaledE2(x) / expected, 9);
        Assert.Equal(ArrheniusIntegral.ScaledE2(x), ArrheniusIntegral.ScaledE2(System.Runtime.Intrinsics.Vector256.Create(x))[2]);
    }

    // Fitted energies, kJ/mol, as derived from the maker's table (2016) by least squares on Kissinger's form; rounded to 1 kJ/mol.
    [Theory]
    [InlineData("06", 947)]
    [InlineData("04", 1082)]
    [InlineData("02", 800)]
    [InlineData("1", 812)]
    [InlineData("4", 916)]
    [InlineData("5", 824)]
    [InlineData("5.5", 684)]
    [InlineData("6", 699)]
    [InlineData("7", 731)]
    [InlineData("8", 701)]
    [InlineData("9", 762)]
    [InlineData("10", 822)]
    public void Energies_are_fitted_to_the_cone(string cone, double kJPerMol) =>
        Assert.InRange(Of(cone).ActivationJPerMol / 1000, kJPerMol - 0.6, kJPerMol + 0.6);

    [Fact]
    public void An_energy_put_into_exact_Kissinger_data_is_found_again()
    {
        const double energy = 700_000;
        double[] kelvin = [1450, 1490, 1520];
        var rates = kelvin.Select(t => t * t * Math.Exp(20 - energy / (8.314462618 * t))).ToArray();
        Assert.Equal(1, ConeKinetics.KissingerEnergy(rates, kelvin) / energy, 9);
    }

    // Derived: RT²/(Eβ) with the fitted energies.
    [Theory]
    [InlineData("6", 1222, 26.6)]
    [InlineData("04", 1063, 13.7)]
    public void The_equivalent_time_at_the_peak_of_a_climb_of_60_an_hour(string cone, double celsius, double minutes)
    {
        var kinetics = Of(cone);
        Assert.Equal(minutes, kinetics.SecondsAtPeakOfClimb(celsius + 273.15, 60) / 60, 1);
        // The exact integral is shorter by the terms in RT/E that the leading term leaves out.
        var work = WorkOfClimb(kinetics, celsius, 60);
        var reference = Math.Exp(kinetics.ActivationKelvin * (1 / kinetics.ReferenceKelvin - 1 / (celsius + 273.15)));
        Assert.InRange(work / reference / 60 / minutes, 0.96, 1);
    }

    [Theory]
    [InlineData(ConeSeries.SelfSupporting, "self-supporting", 3.9)]
    [InlineData(ConeSeries.SelfSupportingIronFree, "self-supporting-iron-free", 3.5)]
    [InlineData(ConeSeries.Large, "large", 0.05)]
    public void Every_tabulated_cell_is_met_within_a_few_degrees(ConeSeries series, string file, double missC)
    {
        var worst = 0.0;
        foreach (var cell in PublishedTable.Embedded(file, "c_"))
        {
            if (ConeKinetics.OfSeries(series).FirstOrDefault(k => k.Cone == Cone.Parse(cell.Cone)) is not { } kinetics) continue;
            worst = Math.Max(worst, Math.Abs(PeakThatBringsDown(kinetics, cell.Rate) - cell.Degrees));
        }
        Assert.InRange(worst, missC * 0.9, missC + 1e-4); // the lower end shows that the fit is looked at, not the table
    }

    // The task allows four cells over 3 °C, named, and none over 4.
    [Fact]
    public void One_self_supporting_cell_is_missed_by_more_than_three_degrees() =>
        Assert.Equal(["7 at 150"], PublishedTable.Embedded("self-supporting", "c_")
            .Where(cell => ConeKinetics.OfSeries(ConeSeries.SelfSupporting).FirstOrDefault(k => k.Cone == Cone.Parse(cell.Cone)) is { } kinetics
                && Math.Abs(PeakThatBringsDown(kinetics, cell.Rate) - cell.Degrees) > 3 + 1e-4)
            .Select(cell => $"{cell.Cone} at {cell.Rate}"));

    [Fact]
    public void At_60_an_hour_most_self_supporting_cones_are_met_exactly()
    {
        // The rest give way so that their other two cells stay within three degrees.
        var missed = ConeKinetics.OfSeries(ConeSeries.SelfSupporting)
            .Where(k => Math.Abs(PeakThatBringsDown(k, 60) - ConeTables.At(ConeSeries.SelfSupporting, k.Cone, 60).Value.Celsius) > 1e-6)
            .Select(k => k.Cone.Name);
        Assert.Equal("014 012 011 05 03 3 4 7 9 11 12 14", string.Join(' ', missed));
    }

    [Fact]
    public void Small_cones_have_no_kinetics() => Assert.Empty(ConeKinetics.OfSeries(ConeSeries.Small));

    private static ConeKinetics Of(string cone) => ConeKinetics.OfSeries(ConeSeries.SelfSupporting).Single(k => k.Cone == Cone.Parse(cone));

    private static double PeakThatBringsDown(ConeKinetics kinetics, double rate)
    {
        double low = 400, high = 1600;
        for (var i = 0; i < 60; i++)
        {
            var middle = (low + high) / 2;
            if (WorkOfClimb(kinetics, middle, rate) < kinetics.SecondsAtReference) low = middle;
            else high = middle;
        }
        return low;
    }

    // Independent of the product's integral: Simpson's rule over the last 400 °C in steps of 0.25 °C.
    private static double WorkOfClimb(ConeKinetics kinetics, double peakC, double rate)
    {
        const int steps = 1600;
        const double range = 400;
        double Speed(int i) => Math.Exp(
            kinetics.ActivationKelvin * (1 / kinetics.ReferenceKelvin - 1 / (peakC - range + i * range / steps + 273.15)));
        var sum = Speed(0) + Speed(steps);
        for (var i = 1; i < steps; i++) sum += (i % 2 == 1 ? 4 : 2) * Speed(i);
        return sum * (range / steps) / 3 / rate * SecondsPerHour;
    }
}
