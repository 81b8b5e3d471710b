namespace KilnShare.Core.Loading.Checks;

/// <summary>
/// One side of an outline for <see cref="LoadChecks"/>: a straight line from A to B, or an arc of less than a full circle about a centre,
/// anticlockwise from A to B, half a turn at most.
/// </summary>
/// <param name="A">Where it begins, µm.</param>
/// <param name="B">Where it ends, µm.</param>
/// <param name="Centre">The arc's centre, µm.</param>
/// <param name="Radius">The arc's radius, µm; 0 for a straight line.</param>
internal readonly record struct CheckSide((double X, double Y) A, (double X, double Y) B, (double X, double Y) Centre = default, double Radius = 0)
{
    public bool IsArc => Radius > 0;

    /// <summary>The unit vector that points out of a shape to the left of its straight sides.</summary>
    public (double X, double Y) Outward
    {
        get
        {
            var length = Length(A, B);
            return ((B.Y - A.Y) / length, (A.X - B.X) / length);
        }
    }

    /// <summary>The arc's point in a direction from its centre; null where the arc does not reach.</summary>
    public (double X, double Y)? PointTowards((double X, double Y) direction)
    {
        var length = Math.Sqrt((direction.X * direction.X) + (direction.Y * direction.Y));
        if (length == 0) return null;
        var p = (X: Centre.X + (Radius * direction.X / length), Y: Centre.Y + (Radius * direction.Y / length));
        return Turn(A, B, p) <= 0 ? p : null;
    }

    /// <summary>Distance of a point from the side.</summary>
    public double DistanceTo((double X, double Y) p)
    {
        if (!IsArc) return Length(p, Foot(p));
        var ends = Math.Min(Length(p, A), Length(p, B));
        var fromCentre = Length(p, Centre);
        // From the centre every point of the arc is as near as any other.
        if (fromCentre == 0) return Radius;
        return PointTowards((p.X - Centre.X, p.Y - Centre.Y)) is null ? ends : Math.Min(ends, Math.Abs(fromCentre - Radius));
    }

    /// <summary>Distance of two sides, 0 where they cross.</summary>
    public static double Distance(CheckSide a, CheckSide b)
    {
        if (Cross(a, b)) return 0;
        var ends = Math.Min(Math.Min(a.DistanceTo(b.A), a.DistanceTo(b.B)), Math.Min(b.DistanceTo(a.A), b.DistanceTo(a.B)));
        if (!a.IsArc && !b.IsArc) return ends;
        // Beyond their ends, two sides are nearest where a line through the centre of an arc meets both at a right angle.
        return Math.Min(a.IsArc ? a.NearestOnRay(b) : ends, Math.Min(b.IsArc ? b.NearestOnRay(a) : ends, ends));
    }

    // From the arc's point towards the other side, and from the one straight away from it.
    private double NearestOnRay(CheckSide other)
    {
        var at = other.IsArc ? other.Centre : other.LineFoot(Centre);
        var (dx, dy) = (at.X - Centre.X, at.Y - Centre.Y);
        var (there, back) = (PointTowards((dx, dy)), PointTowards((-dx, -dy)));
        return Math.Min(there is { } p ? other.DistanceTo(p) : double.MaxValue, back is { } q ? other.DistanceTo(q) : double.MaxValue);
    }

    private static bool Cross(CheckSide a, CheckSide b)
    {
        if (a.IsArc && b.IsArc) return ArcsCross(a, b);
        if (a.IsArc) return ArcCrosses(a, b);
        if (b.IsArc) return ArcCrosses(b, a);
        return Turn(a.A, a.B, b.A) * Turn(a.A, a.B, b.B) < 0 && Turn(b.A, b.B, a.A) * Turn(b.A, b.B, a.B) < 0;
    }

    // The line meets the circle at its foot and as far to either side as Pythagoras says.
    private static bool ArcCrosses(CheckSide arc, CheckSide line)
    {
        var foot = line.LineFoot(arc.Centre);
        var (away, length) = (Length(foot, arc.Centre), Length(line.A, line.B));
        if (away >= arc.Radius || length == 0) return false;
        var half = Math.Sqrt((arc.Radius * arc.Radius) - (away * away));
        var (dx, dy) = ((line.B.X - line.A.X) / length, (line.B.Y - line.A.Y) / length);
        foreach (var step in new[] { half, -half })
        {
            var p = (X: foot.X + (step * dx), Y: foot.Y + (step * dy));
            var along = ((p.X - line.A.X) * dx) + ((p.Y - line.A.Y) * dy);
            if (along > 0 && along < length && arc.PointTowards((p.X - arc.Centre.X, p.Y - arc.Centre.Y)) is not null) return true;
        }

        return false;
    }

    // Two circles meet on the line of equal power.
    private static bool ArcsCross(CheckSide a, CheckSide b)
    {
        var apart = Length(a.Centre, b.Centre);
        if (apart == 0 || apart >= a.Radius + b.Radius || apart <= Math.Abs(a.Radius - b.Radius)) return false;
        var along = ((a.Radius * a.Radius) - (b.Radius * b.Radius) + (apart * apart)) / (2 * apart);
        var half = Math.Sqrt(Math.Max(0, (a.Radius * a.Radius) - (along * along)));
        var (ux, uy) = ((b.Centre.X - a.Centre.X) / apart, (b.Centre.Y - a.Centre.Y) / apart);
        foreach (var step in new[] { half, -half })
        {
            var p = (X: a.Centre.X + (along * ux) - (step * uy), Y: a.Centre.Y + (along * uy) + (step * ux));
            if (a.PointTowards((p.X - a.Centre.X, p.Y - a.Centre.Y)) is not null
                && b.PointTowards((p.X - b.Centre.X, p.Y - b.Centre.Y)) is not null) return true;
        }

        return false;
    }

    private (double X, double Y) Foot((double X, double Y) p) => Along(Math.Clamp(ShareOf(p), 0, 1));

    private (double X, double Y) LineFoot((double X, double Y) p) => Along(ShareOf(p));

    private (double X, double Y) Along(double share) => (A.X + (share * (B.X - A.X)), A.Y + (share * (B.Y - A.Y)));

    private double ShareOf((double X, double Y) p)
    {
        var (dx, dy) = (B.X - A.X, B.Y - A.Y);
        var squared = (dx * dx) + (dy * dy);
        return squared == 0 ? 0 : (((p.X - A.X) * dx) + ((p.Y - A.Y) * dy)) / squared;
    }

    private static double Turn((double X, double Y) a, (double X, double Y) b, (double X, double Y) c) =>
        ((b.X - a.X) * (c.Y - a.Y)) - ((b.Y - a.Y) * (c.X - a.X));

    private static double Length((double X, double Y) a, (double X, double Y) b) => Math.Sqrt(((a.X - b.X) * (a.X - b.X)) + ((a.Y - b.Y) * (a.Y - b.Y)));
}
