using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Costs;

public sealed class SpacingEnvelopeTests
{
    private static readonly Footprint.Polygon Hook = Polygon((0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100));

    private static readonly Footprint.Polygon Slotted = Polygon((0, 0), (100, 0), (100, 80), (52, 80), (52, 30), (48, 30), (48, 80), (0, 80));

    [Fact]
    public void A_mug_takes_its_grown_circle_times_its_height_and_headroom()
    {
        // Closed form: π/4 · 9.6² cm² × 12.2 cm = 883.064 cm³.
        Assert.Equal(883.064m, VolumeCm3(new Footprint.Circle(Length.OfMm(90)), 110, 6, 12));
        Assert.Equal(63.617m, SpacingEnvelope.FootprintCm2(new Footprint.Circle(Length.OfMm(90))));
    }

    [Fact]
    public void Corners_are_rounded_by_the_gap()
    {
        // (12·8 + 2·(12 + 8)·0.3 + π·0.09) × 10.
        Assert.Equal(1082.827m, VolumeCm3(new Footprint.Rectangle(Length.OfMm(120), Length.OfMm(80)), 88, 6, 12));
        Assert.Equal(96m, SpacingEnvelope.FootprintCm2(new Footprint.Rectangle(Length.OfMm(120), Length.OfMm(80))));
    }

    [Fact]
    public void Octagon_and_half_circle_have_their_closed_forms()
    {
        // 2(√2 − 1)·10² and π/8·10²; perimeters 8(√2 − 1)·10 and (1 + π/2)·10; grown by 0.5 cm, 1 cm high.
        Assert.Equal(82.843m, SpacingEnvelope.FootprintCm2(new Footprint.Octagon(Length.OfMm(100))));
        Assert.Equal(39.270m, SpacingEnvelope.FootprintCm2(new Footprint.HalfCircle(Length.OfMm(100))));
        Assert.Equal(100.197m, VolumeCm3(new Footprint.Octagon(Length.OfMm(100)), 10, 10, 0));
        Assert.Equal(52.909m, VolumeCm3(new Footprint.HalfCircle(Length.OfMm(100)), 10, 10, 0));
    }

    [Fact]
    public void A_triangle_is_grown_by_perimeter_and_disc()
    {
        // 3-4-5: area 6, perimeter 12, grown by 0.3: 6 + 3.6 + 0.2827 cm².
        Assert.Equal(9.883m, VolumeCm3(Polygon((0, 0), (40, 0), (0, 30)), 10, 6, 0));
        Assert.Equal(6m, SpacingEnvelope.FootprintCm2(Polygon((0, 0), (40, 0), (0, 30))));
    }

    [Fact]
    public void A_hollow_is_charged_only_where_the_gap_reaches()
    {
        // Closed form: area 64 + perimeter 40·0.3, five outer corners of a quarter disc, one inner corner where two strips overlap by 0.3².
        var expected = 64 + 12 + (5 * Math.PI / 4 - 1) * 0.09;
        Assert.Equal(expected, (double)VolumeCm3(Hook, 10, 6, 0), 3e-3);
    }

    [Fact]
    public void A_slot_narrower_than_the_gap_fills_up()
    {
        // The slot of 4 mm is wholly within 3 mm of its sides; at its mouth the two discs leave a notch out of the grown rectangle.
        const double r = 0.3, half = 0.2;
        var underDisc = half * Math.Sqrt(r * r - half * half) + r * r * Math.Asin(half / r);
        var expected = 80 + 36 * r + Math.PI * r * r - (2 * half * r - underDisc);
        Assert.Equal(expected, (double)VolumeCm3(Slotted, 10, 6, 0), 3e-3);
    }

    [Fact]
    public void Growing_by_slices_agrees_with_the_closed_form_of_a_convex_outline()
    {
        var points = new PlanPoint[] { new(0, 0), new(80_000, 10_000), new(95_000, 60_000), new(30_000, 90_000), new(-10_000, 50_000) };
        var perimeter = points.Select((p, i) => Math.Sqrt(Math.Pow(points[(i + 1) % 5].X - p.X, 2) + Math.Pow(points[(i + 1) % 5].Y - p.Y, 2))).Sum();
        var area = (double)SpacingEnvelope.FootprintCm2(new Footprint.Polygon(points)) * 1e8;
        var expected = area + perimeter * 7_000 + Math.PI * 7_000.0 * 7_000;
        Assert.Equal(1, GrownPolygon.AreaUm2(points, 7_000) / expected, 1e-5);
    }

    [Fact]
    public void No_gap_leaves_a_polygon_its_own_area() => Assert.Equal(64m, VolumeCm3(Hook, 10, 0, 0));

    private static decimal VolumeCm3(Footprint footprint, int height, int gap, int headroom) =>
        SpacingEnvelope.VolumeCm3(footprint, Length.OfMm(height), Length.OfMm(gap), Length.OfMm(headroom));

    private static Footprint.Polygon Polygon(params (int X, int Y)[] corners) =>
        new Footprint.Polygon(corners.Select(c => new PlanPoint(c.X * 1000, c.Y * 1000)).ToArray());
}
