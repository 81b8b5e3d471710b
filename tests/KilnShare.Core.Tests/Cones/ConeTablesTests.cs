using CsCheck;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Tests.Cones;

// Source of the cells, unless another is named: the cone maker's published table, edition of 2016 (some cells from memory: the
// conf columns of the tables say which).
public sealed class ConeTablesTests
{
    public static TheoryData<ConeSeries, string> Files => new()
    {
        { ConeSeries.SelfSupporting, "self-supporting" },
        { ConeSeries.SelfSupportingIronFree, "self-supporting-iron-free" },
        { ConeSeries.Large, "large" },
        { ConeSeries.Small, "small" },
    };

    [Theory]
    [MemberData(nameof(Files))]
    public void Every_cell_of_the_table_is_given_back_exactly(ConeSeries series, string file)
    {
        var cells = PublishedTable.Embedded(file, "c_").Where(c => !IsTheMisprint(series, c.Cone)).ToList();
        foreach (var cell in cells)
        {
            var answer = ConeTables.At(series, Cone.Parse(cell.Cone), cell.Rate).Value;
            Assert.Equal(cell.Degrees, answer.Celsius);
            Assert.Equal(EquivalentBasis.Tabulated, answer.Basis);
        }
        Assert.Equal(series switch { ConeSeries.SelfSupporting => 111, ConeSeries.Large => 66, ConeSeries.Small => 35, _ => 39 }, cells.Count);
    }

    [Theory]
    [MemberData(nameof(Files))]
    public void Every_printed_Fahrenheit_cell_is_met_within_its_rounding_at_its_Fahrenheit_rate(ConeSeries series, string file)
    {
        foreach (var cell in PublishedTable.Embedded(file, "f_").Where(c => !IsTheMisprint(series, c.Cone)))
        {
            var rate = TemperatureUnits.DifferenceToCelsius(cell.Rate);
            var answer = ConeTables.At(series, Cone.Parse(cell.Cone), rate).Value;
            Assert.Equal(EquivalentBasis.Tabulated, answer.Basis);
            // Both columns are printed rounded, so they may differ by a unit of each.
            Assert.InRange(answer.Fahrenheit, cell.Degrees - 1.4, cell.Degrees + 1.4);
        }
    }

    [Fact]
    public void Cone_6_at_100_an_hour_is_1233_7_Celsius_and_2252_7_Fahrenheit()
    {
        // Worked by hand: 1222 + (1243 − 1222)·ln(100/60)/ln(150/60).
        var answer = ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse("6"), 100).Value;
        Assert.Equal(1233.7, answer.Celsius, 1);
        Assert.Equal(2252.7, answer.Fahrenheit, 1);
        Assert.Equal(EquivalentBasis.Interpolated, answer.Basis);
    }

    [Fact]
    public void Between_two_rates_temperature_is_linear_in_the_logarithm_of_the_rate()
    {
        // The geometric mean of two rates gives the arithmetic mean of the two cells.
        var middle = ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse("04"), Math.Sqrt(15 * 60)).Value;
        Assert.Equal((1046 + 1063) / 2.0, middle.Celsius, 9);
        // Continued beyond the last: 150²/60 = 375 °C/h lies as far beyond 150 as 150 beyond 60.
        var beyond = ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse("04"), 375).Value;
        Assert.Equal(1077 + (1077 - 1063), beyond.Celsius, 9);
        Assert.Equal(EquivalentBasis.Extrapolated, beyond.Basis);
    }

    [Fact]
    public void A_cone_tabulated_at_two_rates_is_extrapolated_below_the_first()
    {
        Assert.Equal(EquivalentBasis.Extrapolated, ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse("021"), 15).Value.Basis);
        Assert.Equal(EquivalentBasis.Tabulated, ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse("019"), 15).Value.Basis);
    }

    [Fact]
    public void A_hotter_cone_never_has_a_lower_temperature_at_any_rate() =>
        Gen.Select(Gen.OneOf(
            Gen.Const(ConeSeries.SelfSupporting), Gen.Const(ConeSeries.SelfSupportingIronFree), Gen.Const(ConeSeries.Large)), Gen.Double[1, 600])
            .Sample((series, rate) =>
            {
                var list = ConeTables.List(series, rate);
                for (var i = 1; i < list.Count; i++)
                {
                    Assert.True(list[i].Celsius >= list[i - 1].Celsius);
                    if (list[i].Basis != EquivalentBasis.Extrapolated && list[i - 1].Basis != EquivalentBasis.Extrapolated)
                        Assert.True(list[i].Celsius > list[i - 1].Celsius);
                }
            }, iter: 500);

    [Fact]
    public void Faster_heating_never_gives_a_lower_temperature() =>
        Gen.Select(Gen.Int[0, Cone.All.Count - 1], Gen.Double[1, 600], Gen.Double[1, 600]).Sample((order, a, b) =>
        {
            var slow = ConeTables.At(ConeSeries.SelfSupporting, Cone.At(order), Math.Min(a, b)).Value;
            var fast = ConeTables.At(ConeSeries.SelfSupporting, Cone.At(order), Math.Max(a, b)).Value;
            Assert.True(fast.Celsius >= slow.Celsius);
        }, iter: 1000);

    [Fact]
    public void Six_and_nought_six_are_never_taken_for_each_other()
    {
        foreach (var (cool, hot) in new[] { ("06", "6"), ("05", "5"), ("04", "4"), ("010", "10"), ("05.5", "5.5"), ("01", "1") })
        {
            Assert.True(Cone.Parse(cool) < Cone.Parse(hot));
            Assert.Equal(cool, Cone.Parse(cool).Name);
            Assert.Equal(hot, Cone.Parse(hot).Name);
            // Names that differ by the zero alone are at least 17 °C (cone 01 and 1) and up to 380 °C apart.
            var gap = ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse(hot), 60).Value.Celsius
                - ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse(cool), 60).Value.Celsius;
            Assert.True(gap > 15);
        }
        Assert.Equal(998, ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse("06"), 60).Value.Celsius);
        Assert.Equal(1222, ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse("6"), 60).Value.Celsius);
    }

    [Theory]
    [InlineData("0")]
    [InlineData("006")]
    [InlineData(" 6")]
    [InlineData("6 ")]
    [InlineData("+6")]
    [InlineData("6.0")]
    [InlineData("٦")]
    [InlineData("")]
    [InlineData("15")]
    public void What_is_no_cone_is_not_read_as_one(string text) => Assert.False(Cone.TryParse(text, out _));

    [Fact]
    public void Half_cones_are_read_in_both_spellings() => Assert.Equal(Cone.Parse("05.5"), Cone.Parse("05½"));

    [Fact]
    public void Large_cone_14_is_refused_as_a_misprint_and_not_listed()
    {
        var refusal = ConeTables.At(ConeSeries.Large, Cone.Parse("14"), 60).Refusal!;
        Assert.Equal("cones.misprint", refusal.Code);
        Assert.Contains("1388", refusal.Message, StringComparison.Ordinal);
        Assert.Contains("1366", refusal.Message, StringComparison.Ordinal);
        Assert.DoesNotContain(ConeTables.List(ConeSeries.Large, 60), e => e.Cone == Cone.Parse("14"));
    }

    [Theory]
    [InlineData(ConeSeries.Large, "020", 60)]
    [InlineData(ConeSeries.Large, "5.5", 60)]
    [InlineData(ConeSeries.Small, "13", 300)]
    [InlineData(ConeSeries.SelfSupportingIronFree, "2", 60)]
    [InlineData(ConeSeries.SelfSupportingIronFree, "6", 60)]
    public void A_cone_the_series_lacks_is_refused(ConeSeries series, string cone, double rate) =>
        Assert.Equal("cones.not-in-series", ConeTables.At(series, Cone.Parse(cone), rate).Refusal!.Code);

    [Theory]
    [InlineData(0)]
    [InlineData(-60)]
    [InlineData(0.99)]
    [InlineData(601)]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void A_rate_no_kiln_has_is_refused(double rate)
    {
        Assert.Equal("cones.rate-out-of-range", ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse("6"), rate).Refusal!.Code);
        Assert.Throws<ArgumentOutOfRangeException>(() => ConeTables.List(ConeSeries.SelfSupporting, rate));
    }

    [Fact]
    public void Small_cones_are_answered_at_their_one_rate_only()
    {
        Assert.Equal(1255, ConeTables.At(ConeSeries.Small, Cone.Parse("6"), 300).Value.Celsius);
        Assert.Equal("cones.one-rate-only", ConeTables.At(ConeSeries.Small, Cone.Parse("6"), 100).Refusal!.Code);
    }

    [Fact]
    public void The_series_are_not_mixed()
    {
        // Published, same edition: cone 6 at 60 °C/h is 1222 self-supporting and 1220 large.
        Assert.Equal(1222, ConeTables.At(ConeSeries.SelfSupporting, Cone.Parse("6"), 60).Value.Celsius);
        Assert.Equal(1220, ConeTables.At(ConeSeries.Large, Cone.Parse("6"), 60).Value.Celsius);
    }

    [Fact]
    public void Every_series_names_its_edition() =>
        Assert.All(Enum.GetValues<ConeSeries>(), series => Assert.Equal("2016", ConeTables.Edition(series)));

    private static bool IsTheMisprint(ConeSeries series, string cone) => series == ConeSeries.Large && cone is "14";
}
