using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Firings;

// Temperatures: American Ceramic Society kiln firing chart (2005). Rates: university ceramics teaching notes, and common practice,
// no source, where marked so in the product.
public sealed class SchedulePassingsTests
{
    private static readonly ScheduleWare Thin = new(8, Stage.Greenware, Dryness.Dry);

    [Fact]
    public void Key_temperatures_are_passed_when_the_arithmetic_says()
    {
        var passings = Passings(new(20, [new(100, 1000, 0), new(200, 100, 0)]), null);
        // Up at 100 °C/h from 20: 300 °C after 2.8 h, 800 after 7.8; 450 after 4.3, 700 after 6.8.
        var organics = passings.Single(p => p.Key == KeyTemperatures.Organics);
        Assert.Equal(2.8 * 3600, organics.FromSeconds, 6);
        Assert.Equal(7.8 * 3600, organics.ToSeconds, 6);
        var combined = passings.Single(p => p.Key == KeyTemperatures.CombinedWater);
        Assert.Equal((4.3 * 3600, 6.8 * 3600), (Math.Round(combined.FromSeconds, 6), Math.Round(combined.ToSeconds, 6)));
        // Quartz both ways; down at 200 °C/h from 1000 at 9.8 h: 583 °C after another 2.085 h.
        Assert.Equal([true, false], passings.Where(p => p.Key == KeyTemperatures.Quartz).Select(p => p.Climbing));
        Assert.Equal((9.8 + 2.085) * 3600, passings.Last(p => p.Key == KeyTemperatures.Quartz).FromSeconds, 6);
        var cristobalite = passings.Single(p => p.Key == KeyTemperatures.Cristobalite);
        Assert.False(cristobalite.Climbing);
        Assert.Equal(200, cristobalite.FastestCPerHour, 9);
        Assert.All(passings, p => Assert.Null(p.Caution));
    }

    [Fact]
    public void A_hold_within_a_stretch_does_not_break_it_and_the_steepest_rate_counts()
    {
        var quartz = Passings(new(20, [new(60, 570, 30), new(240, 900, 0)]), Thin).Single(p => p.Key == KeyTemperatures.Quartz);
        Assert.Equal(240, quartz.FastestCPerHour, 9);
        Assert.Equal((7.0 / 60 + 0.5 + 13.0 / 240) * 3600, quartz.ToSeconds - quartz.FromSeconds, 6);
        Assert.Contains("240 °C/h", quartz.Caution, StringComparison.Ordinal);
    }

    [Fact]
    public void Published_bisques_are_kind_to_the_ware_they_are_for()
    {
        Assert.All(Passings(new(20, [new(90, 90, 30), new(100, 600, 30), new(150, 900, 0)]), Thin), p => Assert.Null(p.Caution));
        var thick = new ScheduleWare(20, Stage.Greenware, Dryness.Dry);
        Assert.All(Passings(new(20, [new(50, 90, 180), new(100, 600, 30), new(150, 900, 0)]), thick)
            .Where(p => p.Key != KeyTemperatures.Organics), p => Assert.Null(p.Caution));
    }

    [Fact]
    public void Thick_greenware_that_was_not_candled_is_cautioned_at_the_boiling_point()
    {
        var thick = new ScheduleWare(20, Stage.Greenware, Dryness.Dry);
        var water = Passings(new(20, [new(90, 90, 30), new(100, 600, 0)]), thick).Single(p => p.Key == KeyTemperatures.Water);
        Assert.Equal(50, water.KindCPerHour!.Value, 9);
        Assert.Contains("50 °C/h", water.Caution, StringComparison.Ordinal);
        Assert.Null(Passings(new(20, [new(90, 90, 120), new(100, 600, 0)]), thick).Single(p => p.Key == KeyTemperatures.Water).Caution);
    }

    [Theory]
    [InlineData(Dryness.Wet)]
    [InlineData(Dryness.LeatherHard)]
    public void Damp_ware_may_not_pass_100_degrees_at_any_rate(Dryness dryness) =>
        Assert.Contains("not dry", Passings(new(20, [new(10, 600, 0)]), new(5, Stage.Greenware, dryness))
            .Single(p => p.Key == KeyTemperatures.Water).Caution, StringComparison.Ordinal);

    [Fact]
    public void Unknown_dryness_and_unknown_walls_are_said_to_be_unknown()
    {
        Assert.Contains("not known", Passings(new(20, [new(10, 600, 0)]), new(5, Stage.Greenware))
            .Single(p => p.Key == KeyTemperatures.Water).Caution, StringComparison.Ordinal);
        var forecast = ScheduleForecast.Of(new(20, [new(400, 1000, 0)]), ConeSeries.SelfSupporting, new(null, Stage.Bisque)).Value;
        Assert.Contains("was not said", forecast.Cautions.Single(), StringComparison.Ordinal);
        Assert.All(forecast.Passings, p => Assert.Null(p.KindCPerHour));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-5)]
    [InlineData(501)]
    [InlineData(double.NaN)]
    public void A_wall_no_ware_has_is_refused(double wallMm)
    {
        var ware = new ScheduleWare(wallMm, Stage.Bisque);
        Assert.Equal("firings.walls-out-of-range", ScheduleForecast.Of(new(20, [new(100, 600, 0)]), ConeSeries.SelfSupporting, ware).Refusal!.Code);
        Assert.Equal("firings.walls-out-of-range", ScheduleDeadline.Fit(new(20, [new(100, 600, 0)]), 9, ware, 300).Refusal!.Code);
    }

    [Fact]
    public void Thicker_walls_never_may_go_faster()
    {
        foreach (var key in KeyTemperatures.All)
            foreach (var stage in new[] { Stage.Greenware, Stage.Bisque, Stage.Glazed })
                for (var wall = 2.0; wall < 60; wall += 1)
                    Assert.True(WareLimits.FastestCPerHour(
                        key, true, new(wall + 1, stage), false) <= WareLimits.FastestCPerHour(key, true, new(wall, stage), false));
    }

    private static IReadOnlyList<SchedulePassing> Passings(FiringSchedule schedule, ScheduleWare? ware) =>
        SchedulePassings.Of(schedule.ToHistory().Value, ware);
}
