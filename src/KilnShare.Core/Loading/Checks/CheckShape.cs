using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Checks;

/// <summary>
/// A footprint in its place for <see cref="LoadChecks"/>: real numbers (µm), nothing rounded, nothing shared with the search.
/// A disc is a centre and a radius; everything else is a list of corners with sides between them, of which a half disc's second is an arc.
/// </summary>
internal sealed class CheckShape
{
    private CheckShape(double x, double y, double radius, (double X, double Y)[] corners)
    {
        X = x;
        Y = y;
        Radius = radius;
        Corners = corners;
        Sides = corners.Length == 2
            ? [new CheckSide(corners[0], corners[1]), new CheckSide(corners[1], corners[0], (x, y), radius)]
            : [.. corners.Select((c, i) => new CheckSide(c, corners[(i + 1) % corners.Length]))];
        Reach = radius > 0 || corners.Length == 0 ? radius : corners.Max(c => Length(c, (x, y)));
    }

    public double X { get; }

    public double Y { get; }

    /// <summary>Of a disc or half disc; 0 where all sides are straight.</summary>
    public double Radius { get; }

    /// <summary>Anticlockwise; none for a disc, the ends of its flat side for a half disc.</summary>
    public (double X, double Y)[] Corners { get; }

    public CheckSide[] Sides { get; }

    /// <summary>Nothing of it is farther from (X, Y) than this.</summary>
    public double Reach { get; }

    private bool IsDisc => Corners.Length == 0;

    private bool IsHalf => Corners.Length == 2;

    public static CheckShape Of(Footprint footprint, double x, double y, int thousandths)
    {
        if (footprint is Footprint.Circle circle) return Disc(x, y, circle.Diameter.Micrometres);
        var angle = thousandths / 1000.0 * Math.PI / 180;
        var (cos, sin) = (Math.Cos(angle), Math.Sin(angle));
        var radius = footprint is Footprint.HalfCircle half ? half.Diameter.Micrometres / 2.0 : 0;
        return new CheckShape(x, y, radius, [.. Outline(footprint).Select(p => (x + (cos * p.X) - (sin * p.Y), y + (sin * p.X) + (cos * p.Y)))]);
    }

    public static CheckShape Disc(double x, double y, double diameter) => new(x, y, diameter / 2, []);

    /// <summary>Area in µm², by the formula of each shape.</summary>
    public static double AreaOf(Footprint footprint) => footprint switch
    {
        Footprint.Circle c => Math.PI * Math.Pow(c.Diameter.Micrometres, 2) / 4,
        Footprint.HalfCircle h => Math.PI * Math.Pow(h.Diameter.Micrometres, 2) / 8,
        Footprint.Rectangle r => (double)r.Width.Micrometres * r.Depth.Micrometres,
        Footprint.Octagon o => 2 * (Math.Sqrt(2) - 1) * Math.Pow(o.AcrossFlats.Micrometres, 2),
        _ => Shoelace([.. Outline(footprint)]).Area,
    };

    /// <summary>Centre of area in µm; of a half disc 4r/(3π) from its flat side.</summary>
    public (double X, double Y) Centroid()
    {
        if (IsDisc) return (X, Y);
        if (IsHalf) return (X - (Sides[0].Outward.X * 4 * Radius / (3 * Math.PI)), Y - (Sides[0].Outward.Y * 4 * Radius / (3 * Math.PI)));
        var (_, x, y) = Shoelace([.. Corners.Select(c => (c.X - X, c.Y - Y))]);
        return (X + x, Y + y);
    }

    /// <summary>Distance between two shapes, 0 where they touch or overlap.</summary>
    public static double Distance(CheckShape a, CheckShape b)
    {
        if (a.IsDisc) return Math.Max(0, b.DistanceToPoint((a.X, a.Y)) - a.Radius);
        if (b.IsDisc) return Math.Max(0, a.DistanceToPoint((b.X, b.Y)) - b.Radius);
        return a.Holds(b.Corners[0]) || b.Holds(a.Corners[0]) ? 0 : SideDistance(a, b);
    }

    private static double SideDistance(CheckShape a, CheckShape b)
    {
        var least = double.MaxValue;
        foreach (var one in a.Sides)
        {
            foreach (var other in b.Sides) least = Math.Min(least, CheckSide.Distance(one, other));
        }

        return least;
    }

    /// <summary>Surely farther apart than <paramref name="gap"/>, told by their reaches alone.</summary>
    public static bool FarApart(CheckShape a, CheckShape b, double gap) => Length((a.X, a.Y), (b.X, b.Y)) > a.Reach + b.Reach + gap;

    /// <summary>True when the shapes share more than a touching edge.</summary>
    public static bool Overlap(CheckShape a, CheckShape b)
    {
        if (FarApart(a, b, 0)) return false;
        return Distance(a.Shrunk(), b) <= 0;
    }

    /// <summary>How far the inner shape keeps from the edge of this one; negative where it sticks out.</summary>
    public double ClearanceOf(CheckShape inner)
    {
        if (IsDisc)
        {
            if (inner.IsDisc) return Radius - Length((inner.X, inner.Y), (X, Y)) - inner.Radius;
            return Radius - inner.Outermost(this).Max(p => Length(p, (X, Y)));
        }

        if (inner.IsDisc) return Depth((inner.X, inner.Y)) - inner.Radius;
        var least = double.MaxValue;
        foreach (var point in inner.Outermost(this).Where(p => !Holds(p))) least = Math.Min(least, Depth(point));
        foreach (var corner in Corners.Where(inner.Holds)) least = Math.Min(least, -inner.Depth(corner));
        return Math.Min(least, SideDistance(this, inner));
    }

    /// <summary>How deep a point lies inside; negative outside.</summary>
    public double Depth((double X, double Y) p)
    {
        if (IsDisc) return Radius - Length(p, (X, Y));
        var edge = Sides.Min(s => s.DistanceTo(p));
        return Holds(p) ? edge : -edge;
    }

    // Corners, and what of an arc is farthest towards each side of the outer shape: away from the centre of a round one.
    private IEnumerable<(double X, double Y)> Outermost(CheckShape outer)
    {
        foreach (var corner in Corners) yield return corner;
        if (!IsHalf) yield break;
        var away = (X: X - outer.X, Y: Y - outer.Y);
        // About one centre all of the arc is as far out.
        if (away == (0, 0)) away = (-Sides[0].Outward.X, -Sides[0].Outward.Y);
        if (outer.Radius > 0 && Sides[1].PointTowards(away) is { } farthest) yield return farthest;
        foreach (var side in outer.Sides.Where(s => !s.IsArc))
        {
            if (Sides[1].PointTowards(side.Outward) is { } point) yield return point;
        }
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
                return [(0, h.Diameter.Micrometres / 2.0), (0, -h.Diameter.Micrometres / 2.0)];
            case Footprint.Polygon p:
                return p.Points.Select(q => ((double)q.X, (double)q.Y));
            default:
                throw new ArgumentOutOfRangeException(nameof(footprint));
        }
    }

    private static (double X, double Y) OnCircle(double radius, double angle) => (radius * Math.Cos(angle), radius * Math.Sin(angle));

    private double DistanceToPoint((double X, double Y) p) => -Depth(p);

    // Scaled about its centre of area, so that what is nearest to that moves by as much as touching may err.
    private CheckShape Shrunk()
    {
        const double Touch = 5;
        if (IsDisc) return new CheckShape(X, Y, Math.Max(0, Radius - Touch), []);
        var (cx, cy) = Centroid();
        var nearest = Corners.Min(c => Length(c, (cx, cy)));
        if (IsHalf) nearest = Math.Min(nearest, Radius - Length((cx, cy), (X, Y)));
        var scale = 1 - (Touch / Math.Max(Touch, nearest));
        (double X, double Y) Scaled((double X, double Y) p) => (cx + (scale * (p.X - cx)), cy + (scale * (p.Y - cy)));
        var (x, y) = IsHalf ? Scaled((X, Y)) : (X, Y);
        return new CheckShape(x, y, scale * Radius, [.. Corners.Select(Scaled)]);
    }

    private bool Holds((double X, double Y) p)
    {
        if (IsHalf) return Length(p, (X, Y)) <= Radius && ((p.X - X) * Sides[0].Outward.X) + ((p.Y - Y) * Sides[0].Outward.Y) < 0;
        var inside = false;
        foreach (var (a, b, _, _) in Sides)
        {
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

    private static double Length((double X, double Y) a, (double X, double Y) b) => Math.Sqrt(((a.X - b.X) * (a.X - b.X)) + ((a.Y - b.Y) * (a.Y - b.Y)));
}
