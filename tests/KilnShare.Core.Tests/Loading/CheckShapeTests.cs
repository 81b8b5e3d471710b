using KilnShare.Core.Loading.Checks;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>Arcs by their circles against arcs of very many chords, on pairs that nearly touch.</summary>
public class CheckShapeTests
{
    // Chords miss an arc by less than 2 µm at the sizes below, two arcs by less than 4.
    private const double ChordError = 2;

    // 2,000 of each were run once; half a disc in another takes the plain way a tenth of a second.
    private const int Seeds = 150;

    [Fact]
    public void Distances_of_shapes_that_nearly_touch_are_those_of_very_many_chords()
    {
        for (var seed = 0; seed < Seeds; seed++)
        {
            var random = new Random(seed);
            var (first, second) = (AnyShape(random), AnyShape(random));
            var (turn, otherTurn, angle) = (random.Next(360_000), random.Next(360_000), random.NextDouble() * 2 * Math.PI);
            var a = CheckShape.Of(first, 0, 0, turn);
            CheckShape At(double r) => CheckShape.Of(second, r * Math.Cos(angle), r * Math.Sin(angle), otherTurn);
            ChordShape ChordsAt(double r) => ChordShape.Of(second, r * Math.Cos(angle), r * Math.Sin(angle), otherTurn);
            var chords = ChordShape.Of(first, 0, 0, turn);
            var touching = Advanced(a.Reach + At(0).Reach, r => CheckShape.Distance(a, At(r)));
            foreach (var r in new[] { touching + 6000, touching + 20, touching - 100, touching - 5000 })
            {
                var (apart, chordsApart) = (CheckShape.Distance(a, At(r)), ChordShape.Distance(chords, ChordsAt(r)));
                Assert.True(Math.Abs(apart - chordsApart) <= 2 * ChordError, $"seed {seed}: {apart} is not {chordsApart}");
                var plain = ChordShape.Overlap(chords, ChordsAt(r));
                if (plain == ChordShape.Overlap(chords, ChordsAt(r + 10)) && plain == ChordShape.Overlap(chords, ChordsAt(r - 10)))
                    Assert.True(plain == CheckShape.Overlap(a, At(r)), $"seed {seed}");
            }
        }
    }

    [Fact]
    public void Clearances_of_shapes_that_nearly_stick_out_are_those_of_very_many_chords()
    {
        for (var seed = 0; seed < Seeds; seed++)
        {
            var random = new Random(seed);
            var (outer, inner) = (AnyShape(random), AnyShape(random, 0.6));
            var (turn, otherTurn, angle) = (random.Next(360_000), random.Next(360_000), random.NextDouble() * 2 * Math.PI);
            var (x, y) = (random.Next(-20_000, 20_000), random.Next(-20_000, 20_000));
            var (a, chords) = (CheckShape.Of(outer, 0, 0, turn), ChordShape.Of(outer, 0, 0, turn));
            CheckShape At(double r) => CheckShape.Of(inner, x + (r * Math.Cos(angle)), y + (r * Math.Sin(angle)), otherTurn);
            ChordShape ChordsAt(double r) => ChordShape.Of(inner, x + (r * Math.Cos(angle)), y + (r * Math.Sin(angle)), otherTurn);
            var touching = -Advanced(0, r => Math.Max(0, a.ClearanceOf(At(-r))));
            foreach (var r in new[] { touching - 30, touching + 30, touching + 4000 })
            {
                var (clear, plain) = (a.ClearanceOf(At(r)), chords.ClearanceOf(ChordsAt(r)));
                if (plain > ChordError || clear > ChordError) Assert.True(Math.Abs(clear - plain) <= ChordError, $"seed {seed}: {clear} is not {plain}");
                // What sticks out by more than the chords miss is seen by both.
                if (plain < -2 * ChordError) Assert.True(clear < -ChordError, $"seed {seed}: {clear} is not {plain}");
                if (clear < -2 * ChordError) Assert.True(plain < -ChordError, $"seed {seed}: {clear} is not {plain}");
            }
        }
    }

    // The centre of area of half a disc lies 4r/(3 pi) from its flat side (Archimedes; any table of centroids).
    [Fact]
    public void Half_a_disc_balances_where_the_textbook_says()
    {
        var (x, y) = CheckShape.Of(HalfCircle(600), 1000, 2000, 30_000).Centroid();

        Assert.Equal(1000 + (4 * 300_000 / (3 * Math.PI) * Math.Sqrt(0.75)), x, 1e-6);
        Assert.Equal(2000 + (4 * 300_000 / (3 * Math.PI) / 2), y, 1e-6);
    }

    // From far off straight towards it, each time by as much as is surely free.
    private static double Advanced(double from, Func<double, double> free)
    {
        for (var step = 0; step < 60; step++)
        {
            var by = free(from);
            from -= by;
            if (by < 1) break;
        }

        return from;
    }

    private static Footprint AnyShape(Random random, double part = 1)
    {
        decimal Size(int low, int high) => decimal.Round((decimal)(part * (low + (random.NextDouble() * (high - low)))), 3);
        return random.Next(7) switch
        {
            0 => Circle(Size(20, 200)),
            1 => Rectangle(Size(20, 200), Size(20, 200)),
            2 => Octagon(Size(20, 200)),
            3 => Ell(Size(30, 200), Size(30, 200)),
            _ => HalfCircle(Size(20, 200)),
        };
    }
}
