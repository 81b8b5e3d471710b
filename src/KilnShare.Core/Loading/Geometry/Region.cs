using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Geometry;

/// <summary>Something fixed that ware keeps from: a post, a keep-out, a shelf that tall ware passes, a notch of the shelf.</summary>
/// <param name="Shape">Its parts.</param>
/// <param name="X">Where its centre is, µm.</param>
/// <param name="Y">Where its centre is, µm.</param>
/// <param name="Turn">How it is turned, thousandths of a degree.</param>
/// <param name="Clearance">What is owed to it, µm.</param>
/// <param name="From">It matters to ware that reaches above this, µm over the floor.</param>
/// <param name="To">It matters to ware that begins below this.</param>
internal sealed record Obstacle(Shape Shape, double X, double Y, int Turn, double Clearance, long From, long To);

/// <summary>Where ware may be on one shelf: within discs and half planes, away from obstacles; µm, in the chamber's coordinates.</summary>
internal sealed class Region
{
    private readonly List<(double X, double Y, double Radius)> discs = [];
    private readonly List<(double Nx, double Ny, double Limit)> planes = [];
    private readonly List<Obstacle> obstacles = [];
    private double minX = double.NegativeInfinity;
    private double maxX = double.PositiveInfinity;
    private double minY = double.NegativeInfinity;
    private double maxY = double.PositiveInfinity;

    public IReadOnlyList<(double X, double Y, double Radius)> Discs => discs;

    public IReadOnlyList<(double Nx, double Ny, double Limit)> Planes => planes;

    public IReadOnlyList<Obstacle> Obstacles => obstacles;

    public (double MinX, double MaxX, double MinY, double MaxY) Box => (minX, maxX, minY, maxY);

    /// <summary>The same region with obstacles of its own.</summary>
    public Region With(IEnumerable<Obstacle> more)
    {
        var copy = WithoutObstacles();
        copy.obstacles.AddRange(obstacles);
        copy.obstacles.AddRange(more);
        return copy;
    }

    /// <summary>The convex region that is left when nothing stands in it.</summary>
    public Region WithoutObstacles()
    {
        var copy = new Region();
        copy.discs.AddRange(discs);
        copy.planes.AddRange(planes);
        (copy.minX, copy.maxX, copy.minY, copy.maxY) = (minX, maxX, minY, maxY);
        return copy;
    }

    /// <summary>Narrows the region to the inside of a footprint, so far from its edge.</summary>
    public void KeepInside(Footprint footprint, double x, double y, int turn, double clearance)
    {
        var (cos, sin) = Turning.Of(turn);
        if (footprint is Footprint.Circle circle)
        {
            AddDisc(x, y, (circle.Diameter.Micrometres / 2.0) - clearance);
        }
        else if (footprint is Footprint.HalfCircle half)
        {
            var radius = half.Diameter.Micrometres / 2.0;
            AddDisc(x, y, radius - clearance);
            AddPlane(-cos, -sin, -(cos * x) - (sin * y) - clearance);
            Narrow([(x - (sin * radius), y + (cos * radius)), (x + (sin * radius), y - (cos * radius)), .. ArcTips(x, y, cos, sin, radius)]);
        }
        else
        {
            (double X, double Y)[] corners = [.. Shape.Corners(footprint).Select(p => (x + (cos * p.X) - (sin * p.Y), y + (sin * p.X) + (cos * p.Y)))];
            AddPolygon(corners, clearance);
        }
    }

    private static IEnumerable<(double X, double Y)> ArcTips(double x, double y, double cos, double sin, double radius) =>
        new[] { (1, 0), (0, 1), (-1, 0), (0, -1) }.Where(d => (d.Item1 * cos) + (d.Item2 * sin) > 0)
            .Select(d => (x + (d.Item1 * radius), y + (d.Item2 * radius)));

    private void AddDisc(double x, double y, double radius)
    {
        discs.Add((x, y, radius));
        Narrow([(x - radius, y - radius), (x + radius, y + radius)]);
    }

    private void AddPlane(double nx, double ny, double limit) => planes.Add((nx, ny, limit));

    private void AddPolygon((double X, double Y)[] corners, double clearance)
    {
        var hull = Plane.Hull(corners);
        Narrow(hull);
        var sides = corners.Select((p, i) => (p, corners[(i + 1) % corners.Length])).ToHashSet();
        for (var i = 0; i < hull.Count; i++)
        {
            var (a, b) = (hull[i], hull[(i + 1) % hull.Count]);
            var length = Plane.Distance(a.X, a.Y, b.X, b.Y);
            var (nx, ny) = ((b.Y - a.Y) / length, (a.X - b.X) / length);
            // A side of the hull that closes a notch is no edge of the shape: no distance is kept from it.
            var owed = sides.Contains((a, b)) || IsStraightRun(corners, a, b) ? clearance : 0;
            AddPlane(nx, ny, (nx * a.X) + (ny * a.Y) - owed);
        }

        foreach (var pocket in ConvexParts.Pockets(corners))
        {
            var shape = Shape.OfPart(pocket);
            obstacles.Add(new Obstacle(shape, shape.CentreX, shape.CentreY, 0, clearance, long.MinValue, long.MaxValue));
        }
    }

    // A straight side may have corners along it, which the hull leaves out.
    private static bool IsStraightRun((double X, double Y)[] corners, (double X, double Y) a, (double X, double Y) b)
    {
        var i = Array.IndexOf(corners, a);
        for (var step = 1; step < corners.Length; step++)
        {
            var at = corners[(i + step) % corners.Length];
            if (at == b) return true;
            if (Math.Abs(Plane.Cross(a, b, at)) > 1e-3 * Plane.Distance(a.X, a.Y, b.X, b.Y)) return false;
        }

        return false;
    }

    private void Narrow(IEnumerable<(double X, double Y)> extremes)
    {
        var points = extremes.ToList();
        minX = Math.Max(minX, points.Min(p => p.X));
        maxX = Math.Min(maxX, points.Max(p => p.X));
        minY = Math.Max(minY, points.Min(p => p.Y));
        maxY = Math.Min(maxY, points.Max(p => p.Y));
    }
}
