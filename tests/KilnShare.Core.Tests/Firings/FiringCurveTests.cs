using CsCheck;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Tests.Firings;

public sealed class FiringCurveTests
{
    private static readonly TemperatureHistory Plan = new FiringSchedule(20, [new(150, 1100, 0), new(60, 1224, 10), new(200, 100, 0)]).ToHistory().Value;

    [Fact]
    public void A_schedule_is_drawn_by_its_corners_with_its_cones_and_marks()
    {
        var curve = FiringCurve.Of(null, Plan, ConeSeries.SelfSupporting, [Cone.Parse("5"), Cone.Parse("6"), Cone.Parse("10")], 100).Value;
        Assert.Empty(curve.Measured);
        Assert.Equal([20.0, 1100, 1224, 1224, 100], curve.Planned.Select(p => p.Value));
        Assert.Equal(1224, curve.Peak.Value);
        Assert.Equal(5, curve.Marks.Count);
        Assert.Equal(6, curve.Passings.Count); // water, organics, combined water, quartz twice, cristobalite
        var expected = HeatWork.Of(ConeSeries.SelfSupporting, Plan).Value.Cones.Single(c => c.Cone == Cone.Parse("6")).DownAtSeconds!.Value;
        Assert.Equal(expected / 3600, curve.Cones[1].DownAtHours!.Value, 1e-4);
        Assert.Equal(1, curve.Cones[1].Progress[^1].Value);
        Assert.Null(curve.Cones[2].DownAtHours);
        foreach (var line in curve.Cones)
            for (var i = 1; i < line.Progress.Count; i++)
                Assert.True(line.Progress[i].Value >= line.Progress[i - 1].Value && line.Progress[i].AtHours > line.Progress[i - 1].AtHours);
    }

    [Fact]
    public void Thinning_keeps_ends_and_extremes_and_the_number_asked_for() =>
        Gen.Select(Gen.Double[0, 1300].Array[2, 3000], Gen.Int[16, 200]).Sample((celsius, most) =>
        {
            var log = TemperatureHistory.Of([.. celsius.Select((_, i) => i * 30.0)], celsius).Value;
            var curve = FiringCurve.Of(log, null, ConeSeries.SelfSupporting, [], most).Value;
            Assert.InRange(curve.Measured.Count, 2, most);
            Assert.Equal(celsius[0], curve.Measured[0].Value);
            Assert.Equal(celsius[^1], curve.Measured[^1].Value);
            Assert.Equal(celsius.Max(), curve.Measured.Max(p => p.Value));
            Assert.Equal(celsius.Min(), curve.Measured.Min(p => p.Value));
        }, iter: 200);

    [Fact]
    public void Only_marks_within_the_picture_are_given()
    {
        var low = new FiringSchedule(20, [new(100, 400, 0)]).ToHistory().Value;
        Assert.Equal("water organics cristobalite", string.Join(
            ' ', FiringCurve.Of(null, low, ConeSeries.SelfSupporting, [], 50).Value.Marks.Select(m => m.Name)));
    }

    [Fact]
    public void A_cone_outside_the_series_is_refused() =>
        Assert.Equal("cones.not-in-series", FiringCurve.Of(null, Plan, ConeSeries.SelfSupportingIronFree, [Cone.Parse("6")], 50).Refusal!.Code);
}
