using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Geometry;

/// <summary>The convex outline of a footprint about its origin, not turned, µm: corners, and an arc as a true arc.</summary>
internal sealed class TightOutline
{
    private readonly List<(double X, double Y)> hull;
    private readonly double radius;

    private TightOutline(List<(double X, double Y)> hull, double radius)
    {
        (this.hull, this.radius) = (hull, radius);
        (MiddleX, MiddleY) = radius > 0 ? (0, 0) : MiddleOf(hull);
    }

    /// <summary>Centre of the smallest circle around it.</summary>
    public double MiddleX { get; }

    public double MiddleY { get; }

    /// <summary>Straight sides: which way they face, and how long they are.</summary>
    public IEnumerable<(double Nx, double Ny, double Length)> Sides => radius > 0 && hull.Count == 2
        ? [(-1, 0, 2 * radius)]
        : hull.Select((a, i) => (a, b: hull[(i + 1) % hull.Count])).Select(s => Side(s.a, s.b));

    public static TightOutline Of(Footprint footprint) => footprint switch
    {
        Footprint.Circle c => new TightOutline([], c.Diameter.Micrometres / 2.0),
        Footprint.HalfCircle h => new TightOutline([(0, h.Diameter.Micrometres / 2.0), (0, -h.Diameter.Micrometres / 2.0)], h.Diameter.Micrometres / 2.0),
        _ => new TightOutline(Plane.Hull(Shape.Corners(footprint)), 0),
    };

    /// <summary>How far it reaches from its origin in a direction.</summary>
    public double Reach(double nx, double ny)
    {
        if (radius > 0 && (hull.Count == 0 || nx > 0)) return radius;
        var most = double.NegativeInfinity;
        foreach (var (x, y) in hull) most = Math.Max(most, (nx * x) + (ny * y));
        return most;
    }

    private static (double Nx, double Ny, double Length) Side((double X, double Y) a, (double X, double Y) b)
    {
        var length = Plane.Distance(a.X, a.Y, b.X, b.Y);
        return ((b.Y - a.Y) / length, (a.X - b.X) / length, length);
    }

    // The smallest circle around all points, built up point by point (Welzl 1991, without the recursion).
    private static (double X, double Y) MiddleOf(List<(double X, double Y)> points)
    {
        var circle = (points[0].X, points[0].Y, R: 0.0);
        bool IsIn((double X, double Y) p) => Plane.Distance(p.X, p.Y, circle.X, circle.Y) <= circle.R + 1e-6;
        for (var i = 1; i < points.Count; i++)
        {
            if (IsIn(points[i])) continue;
            circle = (points[i].X, points[i].Y, 0);
            for (var j = 0; j < i; j++)
            {
                if (IsIn(points[j])) continue;
                circle = Around(points[i], points[j]);
                for (var k = 0; k < j; k++)
                {
                    if (!IsIn(points[k])) circle = Around(points[i], points[j], points[k]);
                }
            }
        }

        return (circle.X, circle.Y);
    }

    private static (double X, double Y, double R) Around((double X, double Y) a, (double X, double Y) b) =>
        ((a.X + b.X) / 2, (a.Y + b.Y) / 2, Plane.Distance(a.X, a.Y, b.X, b.Y) / 2);

    private static (double X, double Y, double R) Around((double X, double Y) a, (double X, double Y) b, (double X, double Y) c)
    {
        var (bx, by, cx, cy) = (b.X - a.X, b.Y - a.Y, c.X - a.X, c.Y - a.Y);
        var twice = 2 * ((bx * cy) - (by * cx));
        var (bb, cc) = ((bx * bx) + (by * by), (cx * cx) + (cy * cy));
        var (x, y) = (((cy * bb) - (by * cc)) / twice, ((bx * cc) - (cx * bb)) / twice);
        return (a.X + x, a.Y + y, Math.Sqrt((x * x) + (y * y)));
    }
}
