using CsCheck;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Firings;

public sealed class FiringScheduleTests
{
    private static readonly FiringSchedule ThinBisque = new(20, [new(90, 90, 30), new(100, 600, 30), new(150, 900, 0)]);

    [Fact]
    public void A_published_bisque_takes_8_88_hours() =>
        // Source: university ceramics teaching notes, from 20 °C; 70/90 + 0.5 + 510/100 + 0.5 + 300/150.
        Assert.Equal(8.88, Hours(ThinBisque), 2);

    [Fact]
    public void A_published_mid_range_programme_in_Fahrenheit_takes_7_68_hours() =>
        // Source: a textbook on cone 6 glazes, from 70 °F to the end of the hold.
        Assert.Equal(7.68, Hours(FiringSchedule.OfFahrenheit(70, [new(100, 220, 0), new(350, 2000, 0), new(150, 2127, 15)])), 2);

    [Fact]
    public void A_published_teaching_programme_takes_10_63_hours() =>
        // Source: university ceramics teaching notes, from 20 °C.
        Assert.Equal(10.63, Hours(new FiringSchedule(20, [new(100, 600, 0), new(150, 1250, 30)])), 2);

    [Fact]
    public void A_rate_is_positive_up_and_down()
    {
        var history = new FiringSchedule(20, [new(100, 520, 0), new(200, 120, 0)]).ToHistory().Value;
        Assert.Equal([0, 5 * 3600, 7 * 3600], history.Seconds.ToArray());
        Assert.Equal([20, 520, 120], history.Celsius.ToArray());
    }

    [Fact]
    public void As_fast_as_the_kiln_can_needs_a_kiln()
    {
        var refusal = new FiringSchedule(20, [new(100, 600, 0), new(null, 1000, 0)]).ToHistory().Refusal!;
        Assert.Equal("firings.rate-needs-kiln", refusal.Code);
        Assert.Equal("/segments/1/rateCPerHour", refusal.Pointer);
    }

    [Theory]
    [InlineData(0, 600, 0, "firings.rate-out-of-range")]
    [InlineData(-60, 600, 0, "firings.rate-out-of-range")]
    [InlineData(double.NaN, 600, 0, "firings.rate-out-of-range")]
    [InlineData(60, 1e308, 0, "firings.temperature-out-of-range")]
    [InlineData(60, double.NaN, 0, "firings.temperature-out-of-range")]
    [InlineData(60, 600, -1, "firings.hold-out-of-range")]
    [InlineData(60, 600, double.PositiveInfinity, "firings.hold-out-of-range")]
    [InlineData(60, 20, 0, "firings.schedule-does-nothing")]
    [InlineData(0.1, 600, 0, "cones.history-too-long")]
    public void A_schedule_that_makes_no_sense_is_refused(double rate, double toC, double hold, string code) =>
        Assert.Equal(code, new FiringSchedule(20, [new(rate, toC, hold)]).ToHistory().Refusal!.Code);

    [Fact]
    public void A_schedule_without_segments_is_refused() =>
        Assert.Equal("firings.segments-out-of-range", new FiringSchedule(20, []).ToHistory().Refusal!.Code);

    [Fact]
    public void What_was_entered_in_Fahrenheit_is_given_back_as_entered() =>
        Gen.Select(Gen.Int[100, 23500], Gen.Int[10, 9000], Gen.Int[0, 600]).Sample((to, rate, hold) =>
        {
            Segment[] entered = [new(rate / 10.0, to / 10.0, hold)];
            var (startF, segments) = FiringSchedule.OfFahrenheit(70, entered).ToFahrenheit();
            Assert.Equal(70, startF);
            Assert.Equal(entered, segments);
        }, iter: 500);

    [Fact]
    public void Both_units_mean_the_same_firing() =>
        Gen.Select(Gen.Double[200, 1290], Gen.Double[20, 400], Gen.Double[0, 120]).Sample((toC, rate, hold) =>
        {
            var celsius = new FiringSchedule(20, [new(rate, toC, hold)]);
            var (startF, segments) = celsius.ToFahrenheit();
            var back = FiringSchedule.OfFahrenheit(startF, segments);
            Assert.Equal(Hours(celsius), Hours(back), 1e-9);
            Assert.Equal(celsius.PeakC, back.PeakC, 1e-9);
        }, iter: 300);

    [Fact]
    public void Schedules_are_equal_when_their_steps_are()
    {
        Assert.Equal(ThinBisque, new FiringSchedule(20, [new(90, 90, 30), new(100, 600, 30), new(150, 900, 0)]));
        Assert.NotEqual(ThinBisque, new FiringSchedule(20, [new(90, 90, 30), new(100, 600, 30), new(150, 900, 1)]));
        Assert.Equal(ThinBisque.GetHashCode(), new FiringSchedule(20, [.. ThinBisque.Segments]).GetHashCode());
    }

    [Fact]
    public void Every_starting_schedule_names_its_source_and_brings_its_cone_down()
    {
        foreach (var start in StartingSchedules.All)
        {
            Assert.NotEmpty(start.Source);
            var answer = HeatWork.Of(ConeSeries.SelfSupporting, start.Schedule.ToHistory().Value).Value;
            if (start.Cone is not { } cone)
            {
                Assert.Equal(FiringKind.Bisque, start.Kind);
                // Usual bisque: cone 010 to 04 (kiln makers' manuals); the published 900 °C comes out one cone below.
                Assert.InRange(answer.Equivalent.Down!.Value.Order, Cone.Parse("011").Order, Cone.Parse("04").Order);
                continue;
            }
            Assert.Equal(cone, answer.Equivalent.Down);
            // Rounding up to a whole degree adds less than a tenth.
            Assert.InRange(answer.Cones.Single(c => c.Cone == cone).Progress, 1, 1.1);
            Assert.Contains("no source", start.Source, StringComparison.Ordinal);
        }
        Assert.Equal(StartingSchedules.All.Count, StartingSchedules.All.Select(s => s.Name).Distinct(StringComparer.Ordinal).Count());
    }

    [Fact]
    public void Starting_schedules_are_kind_to_ordinary_ware()
    {
        foreach (var start in StartingSchedules.All)
        {
            var (wall, stage) = start.Kind == FiringKind.Bisque ? (start.Name.EndsWith("thick", StringComparison.Ordinal) ? 20.0 : 8.0, Stage.Greenware)
                : (8.0, start.Kind == FiringKind.Overglaze ? Stage.Glazed : Stage.Bisque);
            var ware = new ScheduleWare(wall, stage, stage == Stage.Greenware ? Dryness.Dry : null);
            Assert.Empty(ScheduleForecast.Of(start.Schedule, ConeSeries.SelfSupporting, ware).Value.Cautions);
        }
    }

    [Fact]
    public void The_published_mid_range_programme_that_is_not_on_the_shelf_goes_far_past_cone_6() =>
        Assert.True(HeatWork.Of(ConeSeries.SelfSupporting, new FiringSchedule(20, [new(100, 600, 0), new(150, 1250, 30)]).ToHistory().Value)
            .Value.Equivalent.Down >= Cone.Parse("8"));

    private static double Hours(FiringSchedule schedule) => schedule.ToHistory().Value.Hours;
}
