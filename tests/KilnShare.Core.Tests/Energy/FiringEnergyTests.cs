using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.Tests.Energy;

public sealed class FiringEnergyTests
{
    // Assumptions where the sources are silent: eight-sided chambers of the usual size for their volume, 3 in of grade 23 on all sides, elements of
    // 5.5 and 11.5 kW, room at 20 °C; a full small kiln holds 18 kg of ware and 11 kg of furniture, the large one (its load is not told) 25 and 18.
    private static readonly Chamber Small = new(new Footprint.Octagon(Length.OfMm(445)), Length.OfMm(457), Length.Zero, Length.Zero);

    private static readonly Chamber Large = new(new Footprint.Octagon(Length.OfMm(584)), Length.OfMm(686), Length.Zero, Length.Zero);

    private static readonly FiringEnergyRequest Usual = new(
        KilnModelTests.Kiln(11.5, KilnModelTests.Brick), new LoadHeat(40, 25, Stage.Bisque), 15,
        new PowerProgramme(15, [new(100, 600, 0), new(150, 1222, 15)]));

    // Firings logged on the potters' public mailing list (thread 43125) and in a potter's published meter log (2008); of a range the middle.
    public static TheoryData<string, double, PowerProgramme> Metered => new()
    {
        { "small, cone 06 in 10 h", 27.5, new PowerProgramme(20, [new(98, 999, 0)]) },
        { "small, cone 9, faster", 35, new PowerProgramme(20, [new(155, 1260, 0)]) },
        { "large, 2345 °F and 5 h at 1900–2000 °F", 87, new PowerProgramme(20, [new(150, 1285, 0), new(150, 1066, 300)]) },
        { "large, 270 °F/h to 2000 °F", 35, new PowerProgramme(20, [new(150, 1093, 0)]) },
        { "large, fast to 1384 °F", 17, new PowerProgramme(20, [new(null, 751, 0)]) },
    };

    [Theory]
    [MemberData(nameof(Metered), DisableDiscoveryEnumeration = true)]
    public void Metered_firings_come_out_within_a_fifth(string firing, double kwh, PowerProgramme programme)
    {
        var small = firing.StartsWith("small", StringComparison.Ordinal);
        var kiln = new KilnHeat(small ? Small : Large, small ? 5.5 : 11.5, KilnModelTests.Brick);
        var load = small ? new LoadHeat(18, 11, Stage.Bisque) : new LoadHeat(25, 18, Stage.Bisque);
        var forecast = FiringEnergy.Forecast(new FiringEnergyRequest(kiln, load, 20, programme)).Value;
        TestContext.Current.TestOutputHelper?.WriteLine($"{firing}: {forecast.EnergyKwh:0.0} kWh for {kwh}");
        Assert.InRange(forecast.EnergyKwh / kwh, 0.8, 1.2);
    }

    [Fact]
    public void Parts_add_up_and_the_curve_s_area_is_the_energy()
    {
        var forecast = FiringEnergy.Forecast(Usual with { Load = new LoadHeat(40, 25, Stage.Greenware, 3) }).Value;
        Assert.Equal(1, forecast.ByPart.SumKwh / forecast.EnergyKwh, 1e-6);
        var area = forecast.Curve.Zip(forecast.Curve.Skip(1), (a, b) => b.Kw * (b.AtSeconds - a.AtSeconds)).Sum() / 3600;
        Assert.Equal(1, area / forecast.EnergyKwh, 1e-9);
        Assert.InRange(forecast.Curve.Count, 300, 500);
        // 1.2 kg of water at 2592 kJ/kg; 40 kg of raw clay at 250 kJ/kg (steam tables; middle of common practice).
        Assert.Equal(1.2 * 2592 / 3600, forecast.ByPart.WaterKwh, 1e-6);
        Assert.Equal(40 * 250 / 3600.0, forecast.ByPart.ChemistryKwh, 1e-6);
    }

    [Fact]
    public void Ware_holds_its_published_heat_at_the_peak()
    {
        var forecast = FiringEnergy.Forecast(Usual with { Programme = new PowerProgramme(20, [new(150, 1222, 0)]) }).Value;
        Assert.Equal(40 * 1367 / 3600.0, forecast.ByPart.WareKwh, 0.01);
    }

    [Fact]
    public void Own_heat_is_what_the_ware_alone_takes()
    {
        // The published specific heat of clay integrates to 1367 kJ/kg from 20 to 1222 °C; raw, damp ware takes 250 kJ/kg and 2592 kJ for each kg of
        // water more.
        Assert.Equal(2.1 * 1367 / 3600, (double)OwnHeat.Kwh(new LoadHeat(2.1, 9, Stage.Bisque), 20, 1222), 0.001);
        Assert.Equal(2.1 * (1367 + 250 + 0.05 * 2592) / 3600, (double)OwnHeat.Kwh(new LoadHeat(2.1, 0, Stage.Greenware, 5), 20, 1222), 0.001);
    }

    [Fact]
    public void Hours_are_ramps_and_holds_where_the_kiln_can_follow()
    {
        // 585 K at 100 and 622 K at 150 °C/h, and 15 minutes.
        var forecast = FiringEnergy.Forecast(Usual).Value;
        Assert.Equal(5.85 + 622 / 150.0 + 0.25, forecast.Hours, 1e-6);
        Assert.Empty(forecast.Limited);
        Assert.Equal(1222, forecast.PeakC, 0.01);
        Assert.InRange(forecast.CoolingHoursTo120C!.Value, 8, 30);
        Assert.True(forecast.CoolingHoursTo60C > forecast.CoolingHoursTo120C);
    }

    [Fact]
    public void A_kiln_too_weak_falls_behind_and_says_where()
    {
        var forecast = FiringEnergy.Forecast(
            Usual with { Kiln = Usual.Kiln with { RatedKw = 9 }, Programme = new PowerProgramme(15, [new(150, 1222, 15)]) }).Value;
        var span = Assert.Single(forecast.Limited);
        Assert.False(span.Cooling);
        Assert.True(span.ShortC > 20 && span.FromSeconds < span.ToSeconds, $"{span}");
        Assert.True(forecast.Hours > 1207 / 150.0 + 0.25 + 0.1, "longer than the programme");
        Assert.Equal(1222, forecast.PeakC, 0.6);
    }

    [Fact]
    public void A_kiln_that_cannot_get_there_stops_and_says_how_far_it_came()
    {
        var forecast = FiringEnergy.Forecast(Usual with { Kiln = Usual.Kiln with { RatedKw = 4 } }).Value;
        Assert.True(forecast.GaveUp);
        Assert.InRange(forecast.PeakC, 600, 1150);
        Assert.Contains("does not reach", forecast.Caution, StringComparison.Ordinal);
    }

    [Fact]
    public void A_kiln_that_cools_slower_than_asked_says_so()
    {
        var forecast = FiringEnergy.Forecast(Usual with { Programme = new PowerProgramme(15, [new(150, 1000, 0), new(1500, 500, 10)]) }).Value;
        Assert.True(Assert.Single(forecast.Limited).Cooling);
    }

    [Fact]
    public void As_fast_as_the_kiln_can_is_full_power_and_no_shortfall()
    {
        var forecast = FiringEnergy.Forecast(Usual with { Programme = new PowerProgramme(15, [new(null, 900, 0)]) }).Value;
        Assert.Empty(forecast.Limited);
        Assert.Equal(11.5 * forecast.Hours, forecast.EnergyKwh, 0.1);
    }

    [Fact]
    public void Old_elements_give_less_power()
    {
        // Arithmetic of Ohm's law: +10 % of resistance is −9.1 % of power.
        Assert.Equal(-9.1, (ElementAgeing.PowerFactor(10) - 1) * 100, 0.05);
        Assert.Equal(10, ElementAgeing.GrowthPercent(11, 10), 9);
        Assert.Equal(60, ElementAgeing.FiringsLeft(4, 40)!.Value, 9);
        var fast = Usual with { Programme = new PowerProgramme(15, [new(null, 1100, 0)]) };
        Assert.True(FiringEnergy.Forecast(
            fast with { Kiln = fast.Kiln with { ElementGrowthPercent = 10 } }).Value.Hours > FiringEnergy.Forecast(fast).Value.Hours * 1.08, "not slower");
    }

    [Fact]
    public void More_of_anything_takes_more_energy()
    {
        var kwh = FiringEnergy.Forecast(Usual).Value.EnergyKwh;
        FiringEnergyRequest[] more =
        [
            Usual with { Load = Usual.Load with { WareKg = 41 } },
            Usual with { Load = Usual.Load with { FurnitureKg = 26 } },
            Usual with { Load = Usual.Load with { MoisturePercent = 1 } },
            Usual with { Load = Usual.Load with { Stage = Stage.Greenware } },
            Usual with { Kiln = Usual.Kiln with { LossFactor = 1.1 } },
            Usual with { Programme = new PowerProgramme(15, [new(100, 600, 0), new(150, 1222, 25)]) },
            Usual with { Kiln = Usual.Kiln with { Wall = [new(WallMaterial.Firebrick26, Length.OfMm(76))] } },
        ];
        Assert.All(more, m => Assert.True(FiringEnergy.Forecast(m).Value.EnergyKwh > kwh, $"{m}"));
        Assert.True(FiringEnergy.Forecast(Usual with { Kiln = Usual.Kiln with { Wall = [new(WallMaterial.Fibre, Length.OfMm(76))] } }).Value.EnergyKwh < kwh);
    }

    [Fact]
    public void Finer_slabs_and_steps_change_less_than_half_a_percent()
    {
        var usual = KilnModel.Run(Usual.Kiln, Usual.Load, 15, Usual.Programme, new KilnModelOptions());
        var fine = KilnModel.Run(Usual.Kiln, Usual.Load, 15, Usual.Programme, new KilnModelOptions(96, 3, 20));
        Assert.Equal(1, usual.Balance.Electric / fine.Balance.Electric, 0.005);
        Assert.Equal(1, usual.CoolingSeconds(120)!.Value / fine.CoolingSeconds(120)!.Value, 0.005);
    }

    public static TheoryData<FiringEnergyRequest, string, string> Refused => new()
    {
        { Usual with { Kiln = Usual.Kiln with { RatedKw = 0 } }, "energy.out-of-range", "/kiln/ratedKw" },
        { Usual with { Kiln = Usual.Kiln with { RatedKw = double.NaN } }, "energy.out-of-range", "/kiln/ratedKw" },
        { Usual with { Kiln = Usual.Kiln with { LossFactor = -1 } }, "energy.out-of-range", "/kiln/lossFactor" },
        { Usual with { Kiln = Usual.Kiln with { Wall = [] } }, "energy.no-wall", "/kiln/wall" },
        { Usual with { Kiln = Usual.Kiln with { Wall = [new(new("x", 500, 1000, []), Length.OfMm(70))] } }, "energy.no-conductivity",
            "/kiln/wall/0/material/conductivity" },
        { Usual with { Kiln = Usual.Kiln with { Wall = [new(new("x", 500, 1000, [new(400, 0.1), new(300, 0.1)]), Length.OfMm(70))] } }, "energy.not-rising",
            "/kiln/wall/0/material/conductivity/1/meanC" },
        { Usual with { Load = Usual.Load with { WareKg = -1 } }, "energy.out-of-range", "/load/wareKg" },
        { Usual with { AmbientC = 90 }, "energy.out-of-range", "/ambientC" },
        { Usual with { Programme = new PowerProgramme(15, []) }, "energy.no-segments", "/schedule/segments" },
        { Usual with { Programme = new PowerProgramme(15, [new(0, 900, 0)]) }, "energy.out-of-range", "/schedule/segments/0/rateCPerHour" },
        { Usual with { Programme = new PowerProgramme(15, [new(5, 1222, 0)]) }, "energy.too-long", "/schedule/segments" },
        { Usual with { Tariff = TariffTests.NightAndDay }, "energy.start-missing", "/startsAt" },
    };

    [Theory]
    [MemberData(nameof(Refused), DisableDiscoveryEnumeration = true)]
    public void What_is_wrong_is_refused_where_it_is(FiringEnergyRequest request, string code, string pointer)
    {
        var refusal = FiringEnergy.Forecast(request).Refusal!;
        Assert.Equal((code, pointer), (refusal.Code, refusal.Pointer));
    }

    [Fact]
    public void The_cost_of_a_forecast_is_its_energy_by_the_clock()
    {
        var forecast = FiringEnergy.Forecast(Usual with { Tariff = TariffTests.NightAndDay, StartsAt = Instant.FromUtc(2026, 3, 2, 22, 0) }).Value;
        // 22:00 to 06:00 is 8 h of the 10.2: 0.0468 a kWh by night, 0.20 by day.
        var night = TariffTests.Kwh(forecast, 0, 8 * 3600);
        Assert.Equal([Math.Round(night * 4.68), Math.Round((forecast.EnergyKwh - night) * 20)], forecast.Cost!.Lines.Select(l => (double)l.AmountMinor));
        Assert.Equal(forecast.Cost.Lines.Sum(l => l.AmountMinor), forecast.Cost.TotalMinor);
    }
}
