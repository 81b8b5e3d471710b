using CsCheck;
using KilnShare.Core.Loading.Checks;
using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class ExactTests
{
    [Fact]
    public void Discs_that_touch_are_apart_by_nothing_and_not_by_one_micrometre()
    {
        var (a, b) = (PlacedShape.Of(Circle(90), 0, 0, 0), PlacedShape.Of(Circle(90), 54_000, 72_000, 0));

        Assert.True(Exact.Apart(a, b, 0));
        Assert.False(Exact.Apart(a, b, 1));
    }

    // 3-4-5 triangle: the corner (30, 40) of a rectangle is 50 mm from the origin.
    [Fact]
    public void A_corner_keeps_its_straight_distance_from_a_disc()
    {
        var (disc, box) = (PlacedShape.Of(Circle(60), 0, 0, 0), PlacedShape.Of(Rectangle(20, 20), 40_000, 50_000, 0));

        Assert.True(Exact.Apart(disc, box, 20_000));
        Assert.False(Exact.Apart(disc, box, 20_001));
    }

    [Fact]
    public void Half_discs_on_one_line_are_apart_only_when_they_do_not_overlap()
    {
        var (one, same, other) = (
            PlacedShape.Of(HalfCircle(500), 0, 0, 0), PlacedShape.Of(HalfCircle(500), 0, 0, 0), PlacedShape.Of(HalfCircle(500), 0, 0, 180_000));

        Assert.False(Exact.Apart(one, same, 0));
        Assert.True(Exact.Apart(one, other, 0));
        Assert.False(Exact.Apart(one, other, 1));
    }

    [Fact]
    public void A_shelf_as_large_as_its_chamber_lies_in_it_and_a_larger_one_does_not()
    {
        foreach (var make in new Func<decimal, Footprint>[] { Circle, HalfCircle, Octagon, mm => Rectangle(mm, mm), mm => Ell(mm, mm) })
        {
            Assert.True(Exact.Inside(PlacedShape.Of(make(300), 0, 0, 0), PlacedShape.Of(make(300), 0, 0, 0), 0));
            Assert.False(Exact.Inside(PlacedShape.Of(make(303), 0, 0, 0), PlacedShape.Of(make(300), 0, 0, 0), 0));
        }
    }

    private static readonly Gen<Footprint> Shapes = Gen.Select(Gen.Int[0, 4], Gen.Int[10, 200], Gen.Int[10, 200], (kind, a, b) => kind switch
    {
        0 => Circle(a),
        1 => Rectangle(a, b),
        2 => Octagon(a),
        3 => HalfCircle(a),
        _ => Ell(a + 3, b + 3),
    });

    // The slow real-number geometry of the checks is the oracle: beyond rounding, both say the same.
    [Fact]
    public void Exact_distances_agree_with_the_checks_own_geometry() =>
        Gen.Select(Shapes, Shapes, Gen.Int[-250_000, 250_000], Gen.Int[-250_000, 250_000], Gen.Int[0, 359_999], Gen.Int[0, 359_999]).Sample(
            (first, second, x, y, turn, otherTurn) =>
            {
                var (a, b) = (PlacedShape.Of(first, 0, 0, turn), PlacedShape.Of(second, x, y, otherTurn));
                var distance = CheckShape.Distance(CheckShape.Of(first, 0, 0, turn), CheckShape.Of(second, x, y, otherTurn));
                if (distance > 4) Assert.True(Exact.Apart(a, b, (long)distance - 3));
                Assert.False(Exact.Apart(a, b, (long)distance + 3));
            },
            iter: 400);

    [Fact]
    public void Exact_containment_agrees_with_the_checks_own_geometry() =>
        Gen.Select(Shapes, Shapes, Gen.Int[-60_000, 60_000], Gen.Int[-60_000, 60_000], Gen.Int[0, 359_999]).Sample(
            (inner, outer, x, y, turn) =>
            {
                var (a, b) = (PlacedShape.Of(inner, x, y, turn), PlacedShape.Of(outer, 0, 0, 0));
                var clearance = CheckShape.Of(outer, 0, 0, 0).ClearanceOf(CheckShape.Of(inner, x, y, turn));
                if (clearance > 4) Assert.True(Exact.Inside(a, b, (long)clearance - 3));
                if (clearance > -3) Assert.False(Exact.Inside(a, b, (long)clearance + 4));
                else Assert.False(Exact.Inside(a, b, 0));
            },
            iter: 150);

    // The library's argument is itself rounded twice, which near a full turn is worth 2 x 2^-53 x 2 pi = 1.4e-15.
    [Fact]
    public void Sine_and_cosine_are_those_of_the_library_to_2e_15()
    {
        for (var turn = 0; turn < Turning.Full; turn += 37)
        {
            var (cos, sin) = Turning.Of(turn);
            Assert.Equal(Math.Cos(turn * Math.PI / 180_000), cos, 2e-15);
            Assert.Equal(Math.Sin(turn * Math.PI / 180_000), sin, 2e-15);
        }
    }
}
