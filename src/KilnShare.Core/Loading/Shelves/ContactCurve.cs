namespace KilnShare.Core.Loading.Shelves;

/// <summary>Where a disc's centre is when it touches something: on a circle, or on a line.</summary>
/// <param name="Kind">-1 within the circle, 1 beyond it, 0 below the line.</param>
/// <param name="X">Centre; the line's normal.</param>
/// <param name="Y">Centre; the line's normal.</param>
/// <param name="R">Radius; the line's limit.</param>
internal readonly record struct ContactCurve(int Kind, double X, double Y, double R)
{
    private const double Slack = 4;

    public static ContactCurve Within(double x, double y, double r) => new(-1, x, y, r);

    public static ContactCurve Beyond(double x, double y, double r) => new(1, x, y, r);

    public static ContactCurve Line(double nx, double ny, double limit) => new(0, nx, ny, limit);

    public bool Allows(double x, double y)
    {
        if (Kind == 0) return (X * x) + (Y * y) <= R + Slack;
        var (dx, dy) = (x - X, y - Y);
        var squared = (dx * dx) + (dy * dy);
        return Kind > 0 ? squared >= (R - Slack) * (R - Slack) : R >= 0 && squared <= (R + Slack) * (R + Slack);
    }

    /// <summary>Where two curves cross. A circle with itself gives its lowest and its leftmost point, so that a first disc finds a place too.</summary>
    public static int Meet(in ContactCurve a, in ContactCurve b, Span<(double X, double Y)> points)
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

    private static int LineLine(in ContactCurve a, in ContactCurve b, Span<(double X, double Y)> points)
    {
        var det = (a.X * b.Y) - (a.Y * b.X);
        if (Math.Abs(det) < 1e-9) return 0;
        points[0] = (((a.R * b.Y) - (b.R * a.Y)) / det, ((a.X * b.R) - (b.X * a.R)) / det);
        return 1;
    }

    private static int LineCircle(in ContactCurve line, in ContactCurve circle, Span<(double X, double Y)> points)
    {
        var away = (line.X * circle.X) + (line.Y * circle.Y) - line.R;
        var half = (circle.R * circle.R) - (away * away);
        if (half < 0) return 0;
        var h = Math.Sqrt(half);
        var (fx, fy) = (circle.X - (away * line.X), circle.Y - (away * line.Y));
        (points[0], points[1]) = ((fx - (h * line.Y), fy + (h * line.X)), (fx + (h * line.Y), fy - (h * line.X)));
        return 2;
    }

    private static int CircleCircle(in ContactCurve a, in ContactCurve b, Span<(double X, double Y)> points)
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
