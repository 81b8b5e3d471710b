using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>One piece nearly, or just, as large as its shelf.</summary>
public class TightFitTests
{
    private static readonly Footprint Wedge = Polygon((0, 0), (420, 30), (300, 360));

    private static readonly Dictionary<string, (Footprint Shelf, Footprint Ware)> Fitting = new(StringComparer.Ordinal)
    {
        ["a half disc 1 mm smaller"] = (HalfCircle(560), HalfCircle(559)),
        ["a half disc 0.01 mm smaller"] = (HalfCircle(560), HalfCircle(559.99m)),
        ["a half disc as large"] = (HalfCircle(560), HalfCircle(560)),
        ["a rectangle 1 mm smaller"] = (Rectangle(400, 300), Rectangle(399, 299)),
        ["a rectangle 0.01 mm smaller"] = (Rectangle(400, 300), Rectangle(399.99m, 299.99m)),
        ["a rectangle as large"] = (Rectangle(400, 300), Rectangle(400, 300)),
        ["an octagon 1 mm smaller"] = (Octagon(560), Octagon(559)),
        ["an octagon as large"] = (Octagon(560), Octagon(560)),
        ["a disc 0.01 mm smaller"] = (Circle(560), Circle(559.99m)),
        ["a disc as large"] = (Circle(560), Circle(560)),
        ["a triangle of 0.998 the size, told from another corner"] = (Wedge, Polygon((0, 0), (-119.76m, 329.34m), (-419.16m, -29.94m))),
        ["a triangle as large"] = (Wedge, Wedge),
        ["an L 1 mm within the edge all round"] = (Ell(450, 390), Polygon((1, 1), (449, 1), (449, 129), (149, 129), (149, 389), (1, 389))),
        ["the same L told from its own corner"] = (Ell(450, 390), Polygon((0, 0), (448, 0), (448, 128), (148, 128), (148, 388), (0, 388))),
        ["an L as large"] = (Ell(450, 390), Ell(450, 390)),

        // 300 and 400 are the sides of a right triangle with 500 across.
        ["a rectangle with its corners on the edge of a round shelf"] = (Circle(500), Rectangle(300, 400)),
        ["a rectangle with two corners on the arc of a half shelf"] = (HalfCircle(500.02m), Rectangle(200, 300)),
        ["half a disc on a round shelf as wide"] = (Circle(500), HalfCircle(500)),
        ["a triangle with two corners on the edge of a round shelf, across it"] = (Circle(500), Polygon((0, 0), (500, 0), (250, 200))),
        ["a disc as wide as an octagon"] = (Octagon(560), Circle(559.99m)),
    };

    public static TheoryData<string> Names() => [.. Fitting.Keys];

    [Theory]
    [MemberData(nameof(Names))]
    public void Ware_that_just_fits_its_shelf_is_placed(string name)
    {
        var (shelf, ware) = Fitting[name];

        Assert.Equal(1, PlacedSoundly(shelf, ware, mayTurn: false));
        Assert.Equal(1, PlacedSoundly(shelf, ware, mayTurn: true));
    }

    [Theory]
    [InlineData(30)]
    [InlineData(137.215)]
    [InlineData(270)]
    public void Ware_that_may_turn_is_placed_on_a_turned_shelf_that_it_just_fits(double degrees)
    {
        // Corners of a turned polygon are rounded to whole micrometres, so that none is exactly as large.
        static Footprint Arrow(decimal part) => Polygon((0, 0), (420 * part, 0), (420 * part, 100 * part), (210 * part, 300 * part), (0, 100 * part));

        Assert.Equal(1, PlacedSoundly(Turned(Rectangle(400, 300), degrees), Rectangle(399, 299), mayTurn: true));
        Assert.Equal(1, PlacedSoundly(Turned(Octagon(560), degrees), Octagon(559), mayTurn: true));
        Assert.Equal(1, PlacedSoundly(Turned(Arrow(1), degrees), Arrow(0.9999m), mayTurn: true));
        Assert.Equal(1, PlacedSoundly(Arrow(1), Turned(Arrow(0.9999m), degrees), mayTurn: true));
    }

    [Fact]
    public void Half_shelves_side_by_side_each_hold_half_a_disc_nearly_as_large()
    {
        var problem = Problem(
            new Chamber(Circle(600), Mm(300), Length.Zero, Length.Zero),
            new Furniture([new ShelfStock("h", HalfCircle(560), Mm(10), 2)], PostHeights.Any, [], Length.Zero, Length.Zero),
            new KilnSpacing(Length.Zero, Length.Zero, Length.Zero),
            [Piece("half", HalfCircle(559), 250, quantity: 2)]);

        var plan = Solve(problem, 1);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Equal(2, plan.PlacedWeight);
    }

    [Theory]
    [InlineData("half")]
    [InlineData("rectangle")]
    [InlineData("octagon")]
    [InlineData("round")]
    public void Ware_too_large_by_a_hair_is_not_placed(string kind)
    {
        Footprint Of(decimal mm) => kind switch { "half" => HalfCircle(mm), "rectangle" => Rectangle(mm, mm), "octagon" => Octagon(mm), _ => Circle(mm) };

        Assert.Equal(0, PlacedSoundly(Of(500), Of(500.006m), mayTurn: true));
    }

    private static decimal PlacedSoundly(Footprint shelf, Footprint ware, bool mayTurn)
    {
        var problem = OneShelf(shelf, [Piece("w", ware, 50, mayTurn: mayTurn)]);
        var plan = Solve(problem, 1);
        Assert.Empty(LoadChecks.Violations(problem, plan));
        return plan.PlacedWeight;
    }

    private static Footprint.Polygon Turned(Footprint footprint, double degrees)
    {
        var (sin, cos) = Math.SinCos(degrees * Math.PI / 180);
        IEnumerable<(double X, double Y)> corners = footprint switch
        {
            Footprint.Rectangle r => Corners(r),
            Footprint.Octagon o => Enumerable.Range(0, 8).Select(k => Math.SinCos(((2 * k) + 1) * Math.PI / 8))
                .Select(d => (d.Cos * o.AcrossFlats.Micrometres / 2 / Math.Cos(Math.PI / 8), d.Sin * o.AcrossFlats.Micrometres / 2 / Math.Cos(Math.PI / 8))),
            Footprint.Polygon p => p.Points.Select(q => ((double)q.X, (double)q.Y)),
            _ => throw new ArgumentOutOfRangeException(nameof(footprint)),
        };
        return new Footprint.Polygon(
            [.. corners.Select(c => new PlanPoint((long)Math.Round((cos * c.X) - (sin * c.Y)), (long)Math.Round((sin * c.X) + (cos * c.Y))))]);
    }

    private static (double X, double Y)[] Corners(Footprint.Rectangle r)
    {
        var (w, d) = (r.Width.Micrometres / 2.0, r.Depth.Micrometres / 2.0);
        return [(-w, -d), (w, -d), (w, d), (-w, d)];
    }
}
