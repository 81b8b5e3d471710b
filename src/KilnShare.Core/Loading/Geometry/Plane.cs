using System.Runtime.CompilerServices;

namespace KilnShare.Core.Loading.Geometry;

/// <summary>Plane geometry in doubles, for the search.</summary>
internal static class Plane
{
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static double Distance(double x1, double y1, double x2, double y2)
    {
        var (dx, dy) = (x1 - x2, y1 - y2);
        return Math.Sqrt((dx * dx) + (dy * dy));
    }

    public static double Cross((double X, double Y) a, (double X, double Y) b, (double X, double Y) c) =>
        ((b.X - a.X) * (c.Y - a.Y)) - ((b.Y - a.Y) * (c.X - a.X));

    public static (double Area, double X, double Y) AreaAndCentroid((double X, double Y)[] corners)
    {
        double area = 0, x = 0, y = 0;
        for (var i = 0; i < corners.Length; i++)
        {
            var (a, b) = (corners[i], corners[(i + 1) % corners.Length]);
            var cross = (a.X * b.Y) - (b.X * a.Y);
            area += cross / 2;
            x += (a.X + b.X) * cross / 6;
            y += (a.Y + b.Y) * cross / 6;
        }

        return (area, x / area, y / area);
    }

    /// <summary>Corners of the convex hull, anticlockwise (Andrew 1979: the monotone chain).</summary>
    public static List<(double X, double Y)> Hull(IEnumerable<(double X, double Y)> points)
    {
        var sorted = points.Distinct().OrderBy(p => p.X).ThenBy(p => p.Y).ToList();
        if (sorted.Count < 3) return sorted;
        var hull = Chain(sorted);
        sorted.Reverse();
        hull.AddRange(Chain(sorted));
        return hull;
    }

    private static List<(double X, double Y)> Chain(List<(double X, double Y)> sorted)
    {
        var chain = new List<(double X, double Y)>();
        foreach (var p in sorted)
        {
            while (chain.Count > 1 && Cross(chain[^2], chain[^1], p) <= 0) chain.RemoveAt(chain.Count - 1);
            chain.Add(p);
        }

        chain.RemoveAt(chain.Count - 1);
        return chain;
    }
}
