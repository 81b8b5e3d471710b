using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Geometry;

/// <summary>A convex polygon grown all round by a radius, µm; a disc is one corner with a radius.</summary>
internal sealed class Part
{
    public Part(double[] x, double[] y, double radius)
    {
        X = x;
        Y = y;
        Radius = radius;
        (CentreX, CentreY) = (x.Sum() / x.Length, y.Sum() / y.Length);
        for (var i = 0; i < x.Length; i++) Bound = Math.Max(Bound, Plane.Distance(x[i], y[i], CentreX, CentreY) + radius);
    }

    public double[] X { get; }

    public double[] Y { get; }

    public double Radius { get; }

    public double CentreX { get; }

    public double CentreY { get; }

    public double Bound { get; }
}

/// <summary>A footprint as the search sees it: convex parts about a centre, in doubles of µm. Whether it fits exactly is told by <see
/// cref="PlacedShape"/>.</summary>
internal sealed class Shape
{
    private const int ArcCorners = 24;

    private Shape(Footprint footprint, double area, double centreX, double centreY, IEnumerable<Part> parts, int period)
    {
        Footprint = footprint;
        Area = area;
        CentreX = centreX;
        CentreY = centreY;
        Parts = [.. parts.Select(p => new Part([.. p.X.Select(x => x - centreX)], [.. p.Y.Select(y => y - centreY)], p.Radius))];
        Period = period;
        foreach (var part in Parts)
        {
            for (var i = 0; i < part.X.Length; i++) Bound = Math.Max(Bound, Plane.Distance(part.X[i], part.Y[i], 0, 0) + part.Radius);
        }
    }

    public Footprint Footprint { get; }

    /// <summary>µm².</summary>
    public double Area { get; }

    /// <summary>The centre of turning, from the footprint's origin, µm.</summary>
    public double CentreX { get; }

    public double CentreY { get; }

    /// <summary>Parts about the centre of turning.</summary>
    public Part[] Parts { get; }

    /// <summary>Greatest distance of any point of it from the centre, µm.</summary>
    public double Bound { get; }

    /// <summary>The turn after which it looks the same, thousandths of a degree; 0 for a disc.</summary>
    public int Period { get; }

    public bool IsDisc => Period == 0;

    /// <summary>How far the parts reach beyond the footprint at most, µm: arcs are drawn around by tangents.</summary>
    public double Excess { get; private init; }

    public static Shape Of(Footprint footprint) => footprint switch
    {
        Footprint.Circle c => Disc(c),
        Footprint.Rectangle r => OfCorners(r, Corners(r), r.Width == r.Depth ? 90_000 : 180_000),
        Footprint.Octagon o => OfCorners(o, Corners(o), 45_000),
        Footprint.HalfCircle h => HalfDisc(h),
        Footprint.Polygon p => OfCorners(p, Corners(p), Turning.Full),
        _ => throw new ArgumentOutOfRangeException(nameof(footprint)),
    };

    /// <summary>A convex polygon in place that is no footprint, such as a notch.</summary>
    public static Shape OfPart((double X, double Y)[] corners) => OfCorners(new Footprint.Polygon([]), corners, Turning.Full);

    /// <summary>Corners of a footprint with straight sides, anticlockwise about its origin, not rounded, µm.</summary>
    public static (double X, double Y)[] Corners(Footprint footprint)
    {
        switch (footprint)
        {
            case Footprint.Rectangle r:
                var (w, d) = (r.Width.Micrometres / 2.0, r.Depth.Micrometres / 2.0);
                return [(-w, -d), (w, -d), (w, d), (-w, d)];
            case Footprint.Octagon o:
                var a = o.AcrossFlats.Micrometres / 2.0;
                var b = a * (Math.Sqrt(2) - 1);
                return [(-b, -a), (b, -a), (a, -b), (a, b), (b, a), (-b, a), (-a, b), (-a, -b)];
            case Footprint.Polygon p:
                return [.. p.Points.Select(q => ((double)q.X, (double)q.Y))];
            default:
                throw new ArgumentOutOfRangeException(nameof(footprint));
        }
    }

    private static Shape Disc(Footprint.Circle circle)
    {
        var radius = circle.Diameter.Micrometres / 2.0;
        return new Shape(circle, Math.PI * radius * radius, 0, 0, [new Part([0], [0], radius)], 0);
    }

    // The arc is replaced by a chain of tangents around it, so that the search never sees less than the real shape.
    private static Shape HalfDisc(Footprint.HalfCircle half)
    {
        var radius = half.Diameter.Micrometres / 2.0;
        var part = HalfDiscAround(radius);
        return new Shape(half, Math.PI * radius * radius / 2, radius * 0.45, 0, [part], Turning.Full)
        {
            Excess = part.X.Zip(part.Y).Max(p => Plane.Distance(p.First, p.Second, 0, 0)) - radius,
        };
    }

    private static Part HalfDiscAround(double radius)
    {
        var step = Math.PI / ArcCorners;
        var (cos, _) = Turning.OfRadians(step / 2);
        var (x, y) = (new double[ArcCorners + 2], new double[ArcCorners + 2]);
        (x[0], y[0]) = (0, -radius);
        for (var i = 0; i < ArcCorners; i++)
        {
            var (c, s) = Turning.OfRadians((-Math.PI / 2) + ((i + 0.5) * step));
            (x[i + 1], y[i + 1]) = (radius * c / cos, radius * s / cos);
        }

        (x[^1], y[^1]) = (0, radius);
        return new Part(x, y, 0);
    }

    private static Shape OfCorners(Footprint footprint, (double X, double Y)[] corners, int period)
    {
        var (area, x, y) = Plane.AreaAndCentroid(corners);
        var parts = ConvexParts.Of(corners).Select(part => new Part([.. part.Select(p => p.X)], [.. part.Select(p => p.Y)], 0));
        return new Shape(footprint, area, x, y, parts, period);
    }
}
