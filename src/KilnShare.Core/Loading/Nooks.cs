namespace KilnShare.Core.Loading;

/// <summary>
/// Corner places for a disc among what stands on a shelf: where it touches two things at once
/// (Huang, Li, Akeb and Li 2005, maximum hole degree; here the place nearest the edge is taken).
/// </summary>
internal static class Nooks
{
    private const int MostCurves = 160;

    /// <summary>The best free corner place for the ware; null when there is none.</summary>
    public static Standing? Find(Tray tray, Lot lot, Distances distances, Dice dice)
    {
        var radius = lot.Shape.Bound;
        var curves = Curves(tray, lot, radius, distances);
        Standing? best = null;
        var bestScore = double.NegativeInfinity;
        var (midX, midY) = Middle(tray.Room.Region);
        var tilt = dice.Below(3);
        Span<(double X, double Y)> points = stackalloc (double, double)[2];
        for (var i = 0; i < curves.Count; i++)
        {
            for (var j = i; j < curves.Count; j++)
            {
                var found = Curve.Meet(curves[i], curves[j], points);
                for (var k = 0; k < found; k++)
                {
                    var (x, y) = points[k];
                    var score = tilt switch { 0 => Geometry.Distance(x, y, midX, midY), 1 => -y, _ => -x };
                    if (score <= bestScore || !IsFree(curves, x, y)) continue;
                    var standing = Standing.At(lot, 1, x, y, 0);
                    if (!tray.Allows(standing)) continue;
                    (best, bestScore) = (standing, score);
                }
            }
        }

        return best;
    }

    private static (double X, double Y) Middle(Region region)
    {
        var (minX, maxX, minY, maxY) = region.Box;
        return ((minX + maxX) / 2, (minY + maxY) / 2);
    }

    private static bool IsFree(List<Curve> curves, double x, double y)
    {
        foreach (var curve in curves)
        {
            if (!curve.Allows(x, y)) return false;
        }

        return true;
    }

    private static List<Curve> Curves(Tray tray, Lot lot, double radius, Distances distances)
    {
        var margin = distances.SearchMargin;
        var curves = new List<Curve>();
        var region = tray.Room.Region;
        foreach (var (x, y, r) in region.Discs) curves.Add(Curve.Within(x, y, r - radius - margin));
        foreach (var (nx, ny, limit) in region.Planes) curves.Add(Curve.Line(nx, ny, limit - radius - margin));
        foreach (var o in region.Obstacles)
        {
            if (o.To <= tray.Room.Floor || o.From >= tray.Room.Floor + lot.Height) continue;
            if (o.Shape.IsDisc) curves.Add(Curve.Beyond(o.X, o.Y, o.Shape.Bound + radius + o.Clearance + margin));
        }

        foreach (var s in tray.Standings)
        {
            if (curves.Count >= MostCurves) break;
            var gap = s.Lot.Piece.Touch && lot.Piece.Touch ? 0 : distances.Gap;
            if (s.Lot.Shape.IsDisc) curves.Add(Curve.Beyond(s.CentreX, s.CentreY, s.Lot.Shape.Bound + radius + gap + margin));
        }

        return curves;
    }
}

/// <summary>Where a disc's centre is when it touches something: on a circle, or on a line.</summary>
/// <param name="Kind">-1 within the circle, 1 beyond it, 0 below the line.</param>
/// <param name="X">Centre; the line's normal.</param>
/// <param name="Y">Centre; the line's normal.</param>
/// <param name="R">Radius; the line's limit.</param>
internal readonly record struct Curve(int Kind, double X, double Y, double R)
{
    private const double Slack = 0.5;

    public static Curve Within(double x, double y, double r) => new(-1, x, y, r);

    public static Curve Beyond(double x, double y, double r) => new(1, x, y, r);

    public static Curve Line(double nx, double ny, double limit) => new(0, nx, ny, limit);

    public bool Allows(double x, double y)
    {
        if (Kind == 0) return (X * x) + (Y * y) <= R + Slack;
        var (dx, dy) = (x - X, y - Y);
        var squared = (dx * dx) + (dy * dy);
        return Kind > 0 ? squared >= (R - Slack) * (R - Slack) : R >= 0 && squared <= (R + Slack) * (R + Slack);
    }

    /// <summary>Where two curves cross; one with itself gives its lowest and leftmost point, so that a first disc finds a place too.</summary>
    public static int Meet(in Curve a, in Curve b, Span<(double X, double Y)> points)
    {
        if (a == b)
        {
            (points[0], points[1]) = ((a.X, a.Y - a.R), (a.X - a.R, a.Y));
            return a.Kind == 0 || a.R < 0 ? 0 : 2;
        }

        if (a.Kind == 0 && b.Kind == 0) return LineLine(a, b, points);
        if (a.Kind == 0) return LineCircle(a, b, points);
        return b.Kind == 0 ? LineCircle(b, a, points) : CircleCircle(a, b, points);
    }

    private static int LineLine(in Curve a, in Curve b, Span<(double X, double Y)> points)
    {
        var det = (a.X * b.Y) - (a.Y * b.X);
        if (Math.Abs(det) < 1e-9) return 0;
        points[0] = (((a.R * b.Y) - (b.R * a.Y)) / det, ((a.X * b.R) - (b.X * a.R)) / det);
        return 1;
    }

    private static int LineCircle(in Curve line, in Curve circle, Span<(double X, double Y)> points)
    {
        var away = (line.X * circle.X) + (line.Y * circle.Y) - line.R;
        var half = (circle.R * circle.R) - (away * away);
        if (half < 0) return 0;
        var h = Math.Sqrt(half);
        var (fx, fy) = (circle.X - (away * line.X), circle.Y - (away * line.Y));
        (points[0], points[1]) = ((fx - (h * line.Y), fy + (h * line.X)), (fx + (h * line.Y), fy - (h * line.X)));
        return 2;
    }

    private static int CircleCircle(in Curve a, in Curve b, Span<(double X, double Y)> points)
    {
        var (dx, dy) = (b.X - a.X, b.Y - a.Y);
        var d2 = (dx * dx) + (dy * dy);
        var reach = a.R + b.R;
        if (d2 == 0 || d2 > reach * reach || a.R < 0 || b.R < 0) return 0;
        var along = ((a.R * a.R) - (b.R * b.R) + d2) / (2 * d2);
        var h2 = ((a.R * a.R) / d2) - (along * along);
        if (h2 < 0) return 0;
        var h = Math.Sqrt(h2);
        var (mx, my) = (a.X + (along * dx), a.Y + (along * dy));
        (points[0], points[1]) = ((mx - (h * dy), my + (h * dx)), (mx + (h * dy), my - (h * dx)));
        return 2;
    }
}
