using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Loading;

/// <summary>
/// A footprint in its place, the plain way: everything but a disc is a list of corners, a half disc one of very many,
/// and every edge is compared with every edge. The oracle for <see cref="KilnShare.Core.Loading.Checks.CheckShape"/>.
/// </summary>
internal sealed class ChordShape
{
    // With so many chords an arc of a radius of 100 mm is missed by less than 2 µm.
    private const int ArcChords = 256;

    private ChordShape(double x, double y, double radius, (double X, double Y)[] corners)
    {
        X = x;
        Y = y;
        Radius = radius;
        Corners = corners;
        Reach = corners.Length == 0 ? radius : corners.Max(c => Math.Sqrt(Squared(c.X - x, c.Y - y)));
    }

    public double X { get; }

    public double Y { get; }

    public double Radius { get; }

    public (double X, double Y)[] Corners { get; }

    /// <summary>Nothing of it is farther from (X, Y) than this.</summary>
    public double Reach { get; }

    public static ChordShape Of(Footprint footprint, double x, double y, int thousandths)
    {
        if (footprint is Footprint.Circle circle) return Disc(x, y, circle.Diameter.Micrometres);
        var angle = thousandths / 1000.0 * Math.PI / 180;
        var (cos, sin) = (Math.Cos(angle), Math.Sin(angle));
        return new ChordShape(x, y, 0, [.. Outline(footprint).Select(p => (x + (cos * p.X) - (sin * p.Y), y + (sin * p.X) + (cos * p.Y)))]);
    }

    public static ChordShape Disc(double x, double y, double diameter) => new(x, y, diameter / 2, []);

    /// <summary>Centre of area in µm.</summary>
    private (double X, double Y) Centroid()
    {
        var (_, x, y) = Shoelace([.. Corners.Select(c => (c.X - X, c.Y - Y))]);
        return (X + x, Y + y);
    }

    /// <summary>Distance between two shapes, 0 where they touch or overlap.</summary>
    public static double Distance(ChordShape a, ChordShape b)
    {
        if (a.Corners.Length == 0) return Math.Max(0, b.DistanceToPoint(a.X, a.Y) - a.Radius);
        if (b.Corners.Length == 0) return Math.Max(0, a.DistanceToPoint(b.X, b.Y) - b.Radius);
        return a.Holds(b.Corners[0]) || b.Holds(a.Corners[0]) ? 0 : EdgeDistance(a, b);
    }

    private static double EdgeDistance(ChordShape a, ChordShape b)
    {
        var least = double.MaxValue;
        for (var i = 0; i < a.Corners.Length; i++)
        {
            for (var j = 0; j < b.Corners.Length; j++) least = Math.Min(least, SegmentDistance(a.Corners[i], a.Next(i), b.Corners[j], b.Next(j)));
        }

        return least;
    }

    /// <summary>Surely farther apart than <paramref name="gap"/>, told by their reaches alone.</summary>
    public static bool FarApart(ChordShape a, ChordShape b, double gap) => Math.Sqrt(Squared(a.X - b.X, a.Y - b.Y)) > a.Reach + b.Reach + gap;

    /// <summary>True when the shapes share more than a touching edge.</summary>
    public static bool Overlap(ChordShape a, ChordShape b)
    {
        if (FarApart(a, b, 0)) return false;
        return Distance(a.Shrunk(), b) <= 0;
    }

    /// <summary>How far the inner shape keeps from the edge of this one; negative where it sticks out.</summary>
    public double ClearanceOf(ChordShape inner)
    {
        if (Corners.Length == 0)
        {
            if (inner.Corners.Length == 0) return Radius - Math.Sqrt(Squared(inner.X - X, inner.Y - Y)) - inner.Radius;
            return Radius - inner.Corners.Max(c => Math.Sqrt(Squared(c.X - X, c.Y - Y)));
        }

        if (inner.Corners.Length == 0) return Depth((inner.X, inner.Y)) - inner.Radius;
        var least = double.MaxValue;
        foreach (var corner in inner.Corners.Where(c => !Holds(c))) least = Math.Min(least, Depth(corner));
        foreach (var corner in Corners.Where(inner.Holds)) least = Math.Min(least, -inner.Depth(corner));
        return Math.Min(least, EdgeDistance(this, inner));
    }

    /// <summary>How deep a point lies inside; negative outside.</summary>
    public double Depth((double X, double Y) p)
    {
        if (Corners.Length == 0) return Radius - Math.Sqrt(Squared(p.X - X, p.Y - Y));
        var edge = double.MaxValue;
        for (var i = 0; i < Corners.Length; i++) edge = Math.Min(edge, PointSegment(p, Corners[i], Next(i)));
        return Holds(p) ? edge : -edge;
    }

    private static IEnumerable<(double X, double Y)> Outline(Footprint footprint)
    {
        switch (footprint)
        {
            case Footprint.Rectangle r:
                var (w, d) = (r.Width.Micrometres / 2.0, r.Depth.Micrometres / 2.0);
                return [(-w, -d), (w, -d), (w, d), (-w, d)];
            case Footprint.Octagon o:
                var corner = o.AcrossFlats.Micrometres / 2.0 / Math.Cos(Math.PI / 8);
                return Enumerable.Range(0, 8).Select(k => OnCircle(corner, ((2 * k) + 1) * Math.PI / 8));
            case Footprint.HalfCircle h:
                return Enumerable.Range(0, ArcChords + 1).Select(k => OnCircle(h.Diameter.Micrometres / 2.0, (k * Math.PI / ArcChords) - (Math.PI / 2)));
            case Footprint.Polygon p:
                return p.Points.Select(q => ((double)q.X, (double)q.Y));
            default:
                throw new ArgumentOutOfRangeException(nameof(footprint));
        }
    }

    private static (double X, double Y) OnCircle(double radius, double angle) => (radius * Math.Cos(angle), radius * Math.Sin(angle));

    private double DistanceToPoint(double x, double y)
    {
        if (Corners.Length == 0) return Math.Sqrt(Squared(x - X, y - Y)) - Radius;
        return -Depth((x, y));
    }

    private ChordShape Shrunk()
    {
        const double Touch = 5;
        if (Corners.Length == 0) return new ChordShape(X, Y, Math.Max(0, Radius - Touch), []);
        var (cx, cy) = Centroid();
        var scale = 1 - (Touch / Math.Max(Touch, Corners.Min(c => Math.Sqrt(Squared(c.X - cx, c.Y - cy)))));
        return new ChordShape(X, Y, 0, [.. Corners.Select(c => (cx + (scale * (c.X - cx)), cy + (scale * (c.Y - cy))))]);
    }

    private (double X, double Y) Next(int i) => Corners[(i + 1) % Corners.Length];

    private bool Holds((double X, double Y) p)
    {
        var inside = false;
        for (var i = 0; i < Corners.Length; i++)
        {
            var (a, b) = (Corners[i], Next(i));
            if (a.Y > p.Y == b.Y > p.Y) continue;
            if (p.X < a.X + ((p.Y - a.Y) / (b.Y - a.Y) * (b.X - a.X))) inside = !inside;
        }

        return inside;
    }

    private static (double Area, double X, double Y) Shoelace((double X, double Y)[] corners)
    {
        double twice = 0, x = 0, y = 0;
        for (var i = 0; i < corners.Length; i++)
        {
            var (a, b) = (corners[i], corners[(i + 1) % corners.Length]);
            var cross = (a.X * b.Y) - (a.Y * b.X);
            twice += cross;
            x += cross * (a.X + b.X);
            y += cross * (a.Y + b.Y);
        }

        return (twice / 2, x / (3 * twice), y / (3 * twice));
    }

    private static double SegmentDistance((double X, double Y) a, (double X, double Y) b, (double X, double Y) c, (double X, double Y) d)
    {
        var (s1, s2, s3, s4) = (Turn(a, b, c), Turn(a, b, d), Turn(c, d, a), Turn(c, d, b));
        if (s1 * s2 < 0 && s3 * s4 < 0) return 0;
        return Math.Min(Math.Min(PointSegment(a, c, d), PointSegment(b, c, d)), Math.Min(PointSegment(c, a, b), PointSegment(d, a, b)));
    }

    private static double Turn((double X, double Y) a, (double X, double Y) b, (double X, double Y) c) =>
        ((b.X - a.X) * (c.Y - a.Y)) - ((b.Y - a.Y) * (c.X - a.X));

    private static double PointSegment((double X, double Y) p, (double X, double Y) a, (double X, double Y) b)
    {
        var length = Squared(b.X - a.X, b.Y - a.Y);
        var t = length == 0 ? 0 : Math.Clamp((((p.X - a.X) * (b.X - a.X)) + ((p.Y - a.Y) * (b.Y - a.Y))) / length, 0, 1);
        return Math.Sqrt(Squared(p.X - a.X - (t * (b.X - a.X)), p.Y - a.Y - (t * (b.Y - a.Y))));
    }

    private static double Squared(double dx, double dy) => (dx * dx) + (dy * dy);
}
