using System.Diagnostics;
using CsCheck;
using KilnShare.Benchmarks.Loading;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Tests.Cones;

public sealed class HeatWorkTests
{
    private static readonly Gen<double[]> Temperatures = Gen.Double[900, 1280].Array[2, 40];

    [Fact]
    public void A_plain_climb_to_the_tabulated_temperature_brings_the_cone_down_at_its_end()
    {
        // Source: the cone maker's table (2016), cone 6 at 60 °C/h: 1222 °C; (1222 − 20)/60 h.
        var answer = Fire(new Segment(60, 1222, 0));
        Assert.Equal(1222, answer.PeakC);
        Assert.Equal(20.033, answer.Hours, 3);
        Assert.Equal(60, answer.EndRateCPerHour!.Value, 9);
        var six = Of(answer, "6");
        Assert.Equal(1, six.Progress, 9);
        Assert.Equal(72120, six.DownAtSeconds!.Value, 3);
        Assert.Equal(1222, six.TableC!.Value, 6);
        Assert.Equal("6", answer.Equivalent.Down!.Value.Name);
        Assert.Equal("7", answer.Equivalent.Next!.Value.Name);
        Assert.Equal(0, answer.Equivalent.Fraction, 6);
        Assert.Equal(EquivalentBasis.Tabulated, answer.Basis);
        Assert.Empty(answer.Warnings);
        Assert.Contains("witness", answer.Caution, StringComparison.Ordinal);
    }

    // Peaks for cone 6 after a climb of 60 °C/h and a hold; derived from the fitted kinetics, to 2 °C.
    // The trade's rule that 10 to 20 minutes of hold stand for 10 to 15 °C agrees (common practice, no source).
    [Theory]
    [InlineData(10, 1213.5)]
    [InlineData(15, 1210.1)]
    [InlineData(20, 1207.1)]
    [InlineData(30, 1202.0)]
    [InlineData(60, 1190.9)]
    public void A_hold_stands_for_so_many_degrees(double minutes, double peakC)
    {
        Assert.True(Of(Fire(new Segment(60, peakC + 2, minutes)), "6").Progress > 1);
        Assert.True(Of(Fire(new Segment(60, peakC - 2, minutes)), "6").Progress < 1);
    }

    [Fact]
    public void Cone_7_comes_down_in_a_hold_of_about_25_minutes_at_the_temperature_of_cone_6()
    {
        // Derived: about 25 min. Two degrees of peak, the accuracy of all such figures, are worth 6 minutes here.
        var down = Of(Fire(new Segment(60, 1222, 120)), "7").DownAtSeconds!.Value;
        // A line through all three cells of cone 7 within 4 °C allows 21.5 at the most; anchored at its 60 °C/h cell it were 24.1.
        Assert.InRange((down - 72120) / 60, 21, 25 + 6);
    }

    [Fact]
    public void A_hold_of_three_quarters_of_an_hour_takes_cone_6_to_cone_8()
    {
        // Reported: 40 min (potters' mailing-list archive); derived from the kinetics: 48.
        var down = Of(Fire(new Segment(60, 1222, 120)), "8").DownAtSeconds!.Value;
        Assert.InRange((down - 72120) / 60, 38, 50);
    }

    [Fact]
    public void Far_from_the_cone_the_answer_says_that_it_is_not_to_be_trusted()
    {
        // Reported: 75 min at cone 4 reach cone 6 (potters' mailing-list archive); the kinetics say about 250. So it must warn.
        var answer = Fire(new Segment(60, 1162, 254));
        Assert.Equal(EquivalentBasis.Extrapolated, answer.Basis);
        Assert.Contains(
            answer.Warnings, w => w.Contains("60 °C from", StringComparison.Ordinal) || w.Contains("rely on witness cones", StringComparison.Ordinal));
    }

    [Fact]
    public void Slow_cooling_adds_heat_work_too()
    {
        var stopped = Of(Fire(new Segment(60, 1215, 0)), "6").Progress;
        var fast = Of(Fire(new Segment(60, 1215, 0), new Segment(1000, 1000, 0)), "6").Progress;
        var slow = Of(Fire(new Segment(60, 1215, 0), new Segment(50, 1000, 0)), "6").Progress;
        Assert.True(stopped < fast && fast < slow);
        Assert.True(slow > 1);
    }

    [Fact]
    public void The_basis_tells_a_hold_and_an_untabulated_rate_from_the_table()
    {
        Assert.Equal(EquivalentBasis.Interpolated, Fire(new Segment(60, 1215, 30)).Basis);
        Assert.Equal(EquivalentBasis.Interpolated, Fire(new Segment(100, 1234, 0)).Basis);
        Assert.Equal(EquivalentBasis.Tabulated, Fire(new Segment(150, 1243, 0)).Basis);
        var fast = Fire(new Segment(300, 1260, 0));
        Assert.Equal(EquivalentBasis.Extrapolated, fast.Basis);
        Assert.Contains(fast.Warnings, w => w.Contains("300 °C/h", StringComparison.Ordinal));
        // Cone 021 has no figure below 60 °C/h.
        Assert.Equal(EquivalentBasis.Extrapolated, Fire(new Segment(20, 606, 0)).Basis);
    }

    [Fact]
    public void Too_little_heat_brings_no_cone_down()
    {
        var answer = Fire(new Segment(100, 90, 0));
        Assert.Null(answer.EndRateCPerHour);
        Assert.Null(answer.Equivalent.Down);
        Assert.Equal("022", answer.Equivalent.Next!.Value.Name);
        Assert.All(answer.Cones, cone => Assert.Null(cone.DownAtSeconds));
        Assert.Equal(EquivalentBasis.Extrapolated, answer.Basis);
    }

    [Fact]
    public void Beyond_the_hottest_cone_there_is_no_next()
    {
        var answer = Fire(new Segment(60, 1450, 0));
        Assert.Equal("14", answer.Equivalent.Down!.Value.Name);
        Assert.Null(answer.Equivalent.Next);
        Assert.All(answer.Cones, cone => Assert.True(double.IsFinite(cone.Progress)));
    }

    [Fact]
    public void Small_cones_are_refused_with_a_reason() =>
        Assert.Equal("cones.no-kinetics", HeatWork.Of(ConeSeries.Small, History([0, 3600], [20, 900])).Refusal!.Code);

    [Fact]
    public void A_cone_is_never_ahead_of_a_softer_one() =>
        Gen.Select(Temperatures, Gen.Double[10, 3600], Gen.OneOf(
            Gen.Const(ConeSeries.SelfSupporting), Gen.Const(ConeSeries.SelfSupportingIronFree), Gen.Const(ConeSeries.Large)))
            .Sample((celsius, step, series) =>
            {
                var answer = HeatWork.Of(series, Even(celsius, step)).Value;
                for (var i = 1; i < answer.Cones.Count; i++)
                {
                    var (softer, harder) = (answer.Cones[i - 1], answer.Cones[i]);
                    Assert.True(harder.Progress <= softer.Progress);
                    if (harder.DownAtSeconds is { } moment) Assert.True(softer.DownAtSeconds <= moment);
                }
            }, iter: 300);

    [Fact]
    public void More_time_at_temperature_is_never_less_progress() =>
        Gen.Select(Temperatures, Gen.Double[10, 3600], Gen.Double[1, 3]).Sample((celsius, step, longer) =>
        {
            var shorter = HeatWork.Of(ConeSeries.SelfSupporting, Even(celsius, step)).Value;
            var stretched = HeatWork.Of(ConeSeries.SelfSupporting, Even(celsius, step * longer)).Value;
            for (var i = 0; i < shorter.Cones.Count; i++)
                Assert.True(stretched.Cones[i].Progress >= shorter.Cones[i].Progress * (1 - 1e-12));
        }, iter: 200);

    [Fact]
    public void Hotter_at_every_moment_is_never_less_progress() =>
        Gen.Select(Temperatures, Gen.Double[10, 3600], Gen.Double[0, 30]).Sample((celsius, step, hotter) =>
        {
            var cool = HeatWork.Of(ConeSeries.SelfSupporting, Even(celsius, step)).Value;
            var hot = HeatWork.Of(ConeSeries.SelfSupporting, Even([.. celsius.Select(c => c + hotter)], step)).Value;
            for (var i = 0; i < cool.Cones.Count; i++)
                Assert.True(hot.Cones[i].Progress >= cool.Cones[i].Progress * (1 - 1e-9));
        }, iter: 200);

    [Fact]
    public void Points_put_in_along_the_straight_lines_change_nothing() =>
        Gen.Select(Temperatures, Gen.Double[10, 3600], Gen.Double[0.01, 0.99]).Sample((celsius, step, part) =>
        {
            var (seconds, points) = (new List<double>(), new List<double>());
            for (var i = 0; i < celsius.Length; i++)
            {
                seconds.Add(i * step);
                points.Add(celsius[i]);
                if (i + 1 == celsius.Length) break;
                seconds.Add((i + part) * step);
                points.Add(celsius[i] + part * (celsius[i + 1] - celsius[i]));
            }
            var whole = HeatWork.Of(ConeSeries.SelfSupporting, Even(celsius, step)).Value;
            var split = HeatWork.Of(ConeSeries.SelfSupporting, History([.. seconds], [.. points])).Value;
            for (var i = 0; i < whole.Cones.Count; i++)
            {
                Assert.Equal(whole.Cones[i].Progress, split.Cones[i].Progress, 1e-8 + whole.Cones[i].Progress * 2e-8);
                if (whole.Cones[i].DownAtSeconds is { } moment) Assert.Equal(moment, split.Cones[i].DownAtSeconds!.Value, 0.01);
            }
        }, iter: 200);

    [Fact]
    public void A_meter_read_half_way_and_carried_on_ends_where_the_whole_log_ends() =>
        Gen.Select(Temperatures, Gen.Double[10, 3600]).Sample((celsius, step) =>
        {
            var meter = HeatWorkMeter.Of(ConeSeries.SelfSupporting).Value;
            for (var i = 0; i < celsius.Length; i++)
            {
                meter.Add(i * step, celsius[i]);
                _ = meter.ProgressOf(10);
            }
            var whole = HeatWork.Of(ConeSeries.SelfSupporting, Even(celsius, step)).Value;
            for (var i = 0; i < whole.Cones.Count; i++) Assert.Equal(whole.Cones[i].Progress, meter.ProgressOf(i));
        }, iter: 100);

    [Fact]
    public void The_same_firing_in_Fahrenheit_gives_the_same_answer()
    {
        var celsius = Fire(new Segment(60, 1222, 10));
        var fahrenheit = HeatWork.Of(
            ConeSeries.SelfSupporting, FiringSchedule.OfFahrenheit(68, [new Segment(108, 2231.6, 10)]).ToHistory().Value).Value;
        for (var i = 0; i < celsius.Cones.Count; i++)
            Assert.Equal(celsius.Cones[i].Progress, fahrenheit.Cones[i].Progress, celsius.Cones[i].Progress * 1e-9);
    }

    [Fact]
    public void Readings_of_a_curved_climb_approach_the_truth_with_the_square_of_their_spacing()
    {
        // Closed by refinement: with straight lines exact, only the curvature between readings is left, which is of second order.
        double Progress(int readings)
        {
            var meter = HeatWorkMeter.Of(ConeSeries.SelfSupporting).Value;
            for (var i = 0; i <= readings; i++)
            {
                var t = 40000.0 * i / readings;
                meter.Add(t, 1230 - 1210 * Math.Exp(-t / 9000));
            }
            return meter.ProgressOf(29);
        }
        var truth = Progress(1 << 15);
        var (coarse, fine) = (Math.Abs(Progress(128) - truth), Math.Abs(Progress(256) - truth));
        Assert.InRange(Math.Log2(coarse / fine), 1.9, 2.1);
    }

    [Fact]
    public void The_integral_agrees_with_a_quadrature_whose_order_is_seen()
    {
        // Oracle: composite trapezoid rule on the same straight climb; its error must fall fourfold when halved, toward our value.
        var kinetics = ConeKinetics.OfSeries(ConeSeries.SelfSupporting)[29];
        double Trapezoid(int steps)
        {
            double Speed(double c) => Math.Exp(kinetics.ActivationKelvin * (1 / kinetics.ReferenceKelvin - 1 / (c + 273.15)));
            var sum = (Speed(900) + Speed(1230)) / 2;
            for (var i = 1; i < steps; i++) sum += Speed(900 + 330.0 * i / steps);
            return sum * 330.0 / steps / 60 * 3600 / kinetics.SecondsAtReference;
        }
        var meter = HeatWorkMeter.Of(ConeSeries.SelfSupporting).Value;
        meter.Add(0, 900);
        meter.Add(330.0 / 60 * 3600, 1230);
        var exact = meter.ProgressOf(29);
        Assert.InRange((Trapezoid(100) - exact) / (Trapezoid(200) - exact), 3.9, 4.1);
        Assert.Equal(exact, Trapezoid(100_000), exact * 1e-7);
    }

    [Fact]
    public void Reversed_or_repeated_times_are_refused()
    {
        Assert.Equal("cones.time-runs-backward", TemperatureHistory.Of([0, 60, 59], [20, 21, 22]).Refusal!.Code);
        var repeated = TemperatureHistory.Of([0, 60, 60], [20, 21, 22]).Refusal!;
        Assert.Equal("cones.time-runs-backward", repeated.Code);
        Assert.Equal("/readings/2/atSeconds", repeated.Pointer);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(1e308)]
    [InlineData(-200)]
    public void A_temperature_no_kiln_has_is_refused(double celsius) =>
        Assert.Equal("cones.temperature-out-of-range", TemperatureHistory.Of([0, 60], [20, celsius]).Refusal!.Code);

    [Theory]
    [InlineData(0, double.NaN, "cones.time-runs-backward")]
    [InlineData(-1e308, 1e308, "cones.history-too-long")]
    [InlineData(0, 1e9, "cones.history-too-long")]
    public void Times_no_firing_has_are_refused(double from, double to, string code) =>
        Assert.Equal(code, TemperatureHistory.Of([from, to], [20, 30]).Refusal!.Code);

    [Fact]
    public void The_end_rate_of_a_trembling_log_is_that_of_the_climb()
    {
        // 60 °C/h to 1200 °C, then an hour's hold in which the reading trembles by half a degree.
        var (seconds, celsius) = (new List<double>(), new List<double>());
        for (var minute = 0; minute <= 1240; minute++)
        {
            seconds.Add(minute * 60);
            celsius.Add(Math.Min(1200, 20 + minute) + (minute % 7 - 3) / 6.0);
        }
        Assert.InRange(History([.. seconds], [.. celsius]).EndRateCPerHour!.Value, 58, 62);
    }

    [Fact]
    public void A_million_readings_take_less_than_a_second_of_processor()
    {
        var (seconds, celsius) = (new double[1_000_000], new double[1_000_000]);
        for (var i = 0; i < seconds.Length; i++) (seconds[i], celsius[i]) = (i * 0.1, 700 + 600.0 * i / seconds.Length);
        var history = History(seconds, celsius);
        // What is shipped is optimised; a debug build is given three times as long.
        var debug = typeof(HeatWork).Assembly.GetCustomAttributes(typeof(DebuggableAttribute), false).Cast<DebuggableAttribute>()
            .Any(a => a.IsJITOptimizerDisabled);
        var limit = TimeSpan.FromSeconds(debug ? 3 : 1);
        var (clock, best) = (new CpuClock(), TimeSpan.MaxValue);
        for (var round = 0; round < 5 && best > limit; round++)
        {
            var start = clock.GetTimestamp();
            Assert.NotNull(HeatWork.Of(ConeSeries.SelfSupporting, history).Value.Equivalent.Down);
            var took = clock.GetElapsedTime(start);
            if (took < best) best = took;
        }
        TestContext.Current.TestOutputHelper?.WriteLine($"a million readings: {best.TotalMilliseconds:0} ms");
        Assert.True(best < limit);
    }

    private static HeatWorkAnswer Fire(params Segment[] segments) =>
        HeatWork.Of(ConeSeries.SelfSupporting, new FiringSchedule(20, segments).ToHistory().Value).Value;

    private static ConeProgress Of(HeatWorkAnswer answer, string cone) => answer.Cones.Single(c => c.Cone == Cone.Parse(cone));

    private static TemperatureHistory History(double[] seconds, double[] celsius) => TemperatureHistory.Of(seconds, celsius).Value;

    private static TemperatureHistory Even(double[] celsius, double step) =>
        History([.. celsius.Select((_, i) => i * step)], celsius);
}
