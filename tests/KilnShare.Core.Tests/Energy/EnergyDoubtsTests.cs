using KilnShare.Core.Energy;
using NodaTime;

namespace KilnShare.Core.Tests.Energy;

public sealed class EnergyDoubtsTests
{
    private static readonly Instant Lit = Instant.FromUtc(2026, 10, 5, 18, 0);

    // 11.5 kW for 11 h are 126.5 kWh (arithmetic); mains voltage and tolerances let pass a fifth more (common practice, no source).
    [Theory]
    [InlineData(63.4, true)]
    [InlineData(126.5, true)]
    [InlineData(151, true)]
    [InlineData(154, false)]
    [InlineData(634, false)]
    [InlineData(63_400, false)]
    public void No_kiln_takes_more_than_its_elements_give(double kwh, bool can) =>
        Assert.Equal(can ? [] : [EnergyDoubts.AboveRatedPower], Codes(Claim(kwh) with { RatedKw = 11.5m }));

    [Fact]
    public void A_digit_too_many_is_found_in_the_hours_it_was_read_in_though_the_whole_could_be()
    {
        // 48 h between the first and the last reading would let 552 kWh pass; 190 of them in two hours do not.
        var take = new FiringTake(Lit, new PowerCurve([0, 3600 * 4, 3600 * 6, 3600 * 48], [0, 5, 95, 1]), 252, false, TakeBasis.Meter);
        var doubt = Assert.Single(EnergyDoubts.Of(new EnergyClaim("glaze firing", take) { RatedKw = 11.5m }));
        Assert.Equal(EnergyDoubts.AboveRatedPower, doubt.Code);
        Assert.Contains("190 kWh from Mon 5 Oct 2026, 22:00 to Tue 6 Oct 2026, 00:00", doubt.Message, StringComparison.Ordinal);
        Assert.Contains("23 kWh", doubt.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_register_of_whole_kilowatt_hours_read_twice_in_a_minute_is_no_doubt() => Assert.Empty(EnergyDoubts.Of(
        new EnergyClaim("x", new FiringTake(Lit, new PowerCurve([0, 60], [0, 60]), 1, false, TakeBasis.Meter)) { RatedKw = 3 }));

    // 40 kg of ware hold 15.2 kWh at 1222 °C (the published specific heat of clay, 1367 kJ/kg): a firing that got there took that at the least.
    [Theory]
    [InlineData(63.4, true)]
    [InlineData(0.0634, false)]
    [InlineData(0, false)]
    public void No_firing_that_reached_its_cone_takes_less_than_its_ware_holds(double kwh, bool can) =>
        Assert.Equal(can ? [] : [EnergyDoubts.BelowWareHeat], Codes(Claim(kwh) with { WareKwh = 15.2m }));

    [Theory]
    [InlineData(Fuel.Gas, Fuel.Electricity, false)]
    [InlineData(Fuel.Electricity, Fuel.Gas, false)]
    [InlineData(Fuel.Gas, Fuel.Gas, true)]
    [InlineData(Fuel.Electricity, Fuel.Electricity, true)]
    public void What_was_burnt_has_a_price_of_its_own(Fuel burnt, Fuel priced, bool can) =>
        Assert.Equal(can ? [] : [EnergyDoubts.OtherFuelPrice], Codes(Claim(200) with { Fuel = burnt, PricedFor = priced }));

    // Natural gas about 10 to 12 kWh a cubic metre, propane about 26, a hundred cubic feet about 31 (from memory of suppliers' bills); 38 and more
    // are megajoules.
    [Theory]
    [InlineData(10.5, true)]
    [InlineData(25.9, true)]
    [InlineData(31, true)]
    [InlineData(38.2, false)]
    [InlineData(0.0105, false)]
    public void A_unit_of_gas_holds_what_gas_holds(double kwhPerUnit, bool can) => Assert.Equal(
        can ? [] : [EnergyDoubts.UnitNotLikely],
        Codes(Claim(200) with { Fuel = Fuel.Gas, PricedFor = Fuel.Gas, Meters = [new MeterUnit("gas", (decimal)kwhPerUnit, false)] }));

    [Fact]
    public void Readings_in_two_units_are_told_with_the_meter() =>
        Assert.Contains("left bank", Assert.Single(
            EnergyDoubts.Of(Claim(20) with { Meters = [new MeterUnit("left bank", null, true)] })).Message, StringComparison.Ordinal);

    private static EnergyClaim Claim(double kwh) => new(
        "glaze firing to cone 6, front-loader, 2026-10-05", new FiringTake(
            Lit, new PowerCurve([0, 11 * 3600], [0, kwh / 11]), (decimal)kwh, false, TakeBasis.Meter));

    private static IEnumerable<string> Codes(EnergyClaim claim) => EnergyDoubts.Of(claim).Select(d => d.Code);
}
