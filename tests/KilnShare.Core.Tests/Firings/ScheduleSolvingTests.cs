using CsCheck;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Firings;

public sealed class ScheduleSolvingTests
{
    private static readonly ScheduleWare ThinDry = new(8, Stage.Greenware, Dryness.Dry);
    private static readonly FiringSchedule Bisque = new(20, [new(90, 90, 30), new(100, 600, 30), new(150, 900, 0)]);

    // Derived from the fitted kinetics, ±2 °C (a fit through all three cells differs by up to 1.7 from one held at 60 °C/h).
    [Theory]
    [InlineData(0, 1222)]
    [InlineData(10, 1213.5)]
    [InlineData(15, 1210.1)]
    [InlineData(20, 1207.1)]
    [InlineData(30, 1202.0)]
    [InlineData(60, 1190.9)]
    public void The_peak_for_cone_6_after_60_an_hour_and_a_hold(double minutes, double peakC) =>
        Assert.InRange(SchedulePeak.For(ConeSeries.SelfSupporting, Six, 60, minutes).Value, peakC - 2, peakC + 2);

    [Fact]
    public void Without_a_hold_the_peak_is_the_tables()
    {
        // Source: the cone maker's table (2016); the kinetics meet its cells within 3 °C, that of cone 7 at 150 °C/h within 3.9.
        foreach (var cone in ConeKinetics.OfSeries(ConeSeries.SelfSupporting).Select(k => k.Cone))
            foreach (var rate in new[] { 60.0, 150 })
                Assert.Equal(
                    ConeTables.At(ConeSeries.SelfSupporting, cone, rate).Value.Celsius,
                    SchedulePeak.For(ConeSeries.SelfSupporting, cone, rate, 0).Value,
                    cone.Name == "7" && rate > 100 ? 3.95 : 3.1);
    }

    [Fact]
    public void The_hold_for_cone_7_at_cone_6s_temperature_is_about_25_minutes() =>
        // Derived: about 25 min; two degrees are worth six minutes.
        Assert.InRange(SchedulePeak.HoldMinutesFor(ConeSeries.SelfSupporting, Cone.Parse("7"), 60, 1222).Value, 21, 31);

    [Fact]
    public void Peak_and_hold_are_each_others_inverse() =>
        Gen.Select(Gen.Int[3, 36], Gen.Double[20, 200], Gen.Double[1, 120]).Sample((order, rate, minutes) =>
        {
            var peak = SchedulePeak.For(ConeSeries.SelfSupporting, Cone.At(order), rate, minutes).Value;
            Assert.Equal(minutes, SchedulePeak.HoldMinutesFor(ConeSeries.SelfSupporting, Cone.At(order), rate, peak).Value, 0.01);
        }, iter: 60);

    [Fact]
    public void A_longer_hold_never_needs_a_higher_peak() =>
        Gen.Select(Gen.Int[3, 36], Gen.Double[20, 200], Gen.Double[0, 100], Gen.Double[1, 100]).Sample((order, rate, minutes, more) =>
            Assert.True(
                SchedulePeak.For(ConeSeries.SelfSupporting, Cone.At(order), rate, minutes + more).Value
                < SchedulePeak.For(ConeSeries.SelfSupporting, Cone.At(order), rate, minutes).Value), iter: 60);

    [Fact]
    public void A_hold_is_none_where_the_climb_is_enough_and_refused_where_it_never_is()
    {
        Assert.Equal(0, SchedulePeak.HoldMinutesFor(ConeSeries.SelfSupporting, Six, 60, 1230).Value);
        Assert.Equal("firings.peak-too-low", SchedulePeak.HoldMinutesFor(ConeSeries.SelfSupporting, Six, 60, 1000).Refusal!.Code);
    }

    [Fact]
    public void A_whole_schedule_is_fitted_with_its_cooling()
    {
        var plain = SchedulePeak.FitPeak(new(20, [new(150, 1100, 0), new(60, 1222, 0)]), ConeSeries.SelfSupporting, Six).Value;
        var soaked = SchedulePeak.FitPeak(new(20, [new(150, 1100, 0), new(60, 1222, 0), new(60, 1050, 30)]), ConeSeries.SelfSupporting, Six).Value;
        Assert.InRange(plain.PeakC, 1219, 1224);
        Assert.True(soaked.PeakC < plain.PeakC - 5);
        Assert.Equal(Six, HeatWork.Of(ConeSeries.SelfSupporting, soaked.ToHistory().Value).Value.Equivalent.Down);
    }

    [Fact]
    public void A_cone_that_is_down_before_the_peak_or_never_is_refused()
    {
        Assert.Equal("firings.no-such-peak", SchedulePeak.FitPeak(
            new(20, [new(60, 1200, 0), new(60, 1222, 0)]), ConeSeries.SelfSupporting, Cone.Parse("06")).Refusal!.Code);
        Assert.Equal("cones.not-in-series", SchedulePeak.For(ConeSeries.SelfSupportingIronFree, Six, 60, 0).Refusal!.Code);
        Assert.Equal("cones.misprint", SchedulePeak.For(ConeSeries.Large, Cone.Parse("14"), 60, 0).Refusal!.Code);
        Assert.Equal("cones.no-kinetics", SchedulePeak.For(ConeSeries.Small, Six, 300, 0).Refusal!.Code);
    }

    [Fact]
    public void A_fitted_deadline_is_met_and_stays_kind() =>
        Gen.Double[7.5, 30].Sample(hours =>
        {
            var fitted = ScheduleDeadline.Fit(Bisque, hours, ThinDry, 300).Value;
            var history = fitted.ToHistory().Value;
            Assert.Equal(hours, history.Hours, 1e-6);
            Assert.Equal(900, fitted.PeakC);
            Assert.Equal(150, history.EndRateCPerHour!.Value, 1e-6);
            Assert.Equal(60, fitted.Segments.Sum(s => s.HoldMinutes), 1e-9);
            foreach (var passing in SchedulePassings.Of(history, ThinDry))
                Assert.Null(passing.Caution);
        }, iter: 100);

    [Fact]
    public void Its_own_duration_leaves_a_kind_schedule_as_it_is()
    {
        var fitted = ScheduleDeadline.Fit(Bisque, Bisque.ToHistory().Value.Hours, ThinDry, 300).Value;
        Assert.Equal(Bisque, fitted);
    }

    [Fact]
    public void A_deadline_the_walls_do_not_allow_is_refused_with_the_shortest_time()
    {
        var thick = ThinDry with { ThickestWallMm = 40 };
        var refusal = ScheduleDeadline.Fit(Bisque, 6, thick, 600).Refusal!;
        Assert.Equal("firings.deadline-too-soon", refusal.Code);
        var shortest = (double)refusal.Values["shortestHours"]!;
        Assert.Contains("573 °C at 56 °C/h", refusal.Message, StringComparison.Ordinal);
        Assert.NotNull(ScheduleDeadline.Fit(Bisque, shortest + 0.01, thick, 600).Value);
        Assert.Equal("firings.deadline-too-soon", ScheduleDeadline.Fit(Bisque, shortest - 0.01, thick, 600).Refusal!.Code);
    }

    [Fact]
    public void Damp_ware_and_unknown_walls_are_not_fitted_to_a_deadline()
    {
        Assert.Equal("firings.ware-not-dry", ScheduleDeadline.Fit(Bisque, 20, ThinDry with { Dryness = Dryness.LeatherHard }, 300).Refusal!.Code);
        Assert.Equal("firings.walls-not-known", ScheduleDeadline.Fit(Bisque, 20, ThinDry with { ThickestWallMm = null }, 300).Refusal!.Code);
    }

    private static Cone Six => Cone.Parse("6");
}
