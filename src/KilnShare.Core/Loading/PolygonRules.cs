using KilnShare.Core.Common;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading;

/// <summary>What makes corners a polygon: 3 to 64 of them, simple, anticlockwise.</summary>
internal static class PolygonRules
{
    public static Refusal? FirstBroken(Footprint.Polygon polygon, string pointer)
    {
        var points = polygon.Points;
        if (points.Count is < LoadLimits.MinPolygonPoints or > LoadLimits.MaxPolygonPoints)
        {
            return Refusal.Invalid(
                "loading.polygon-corners",
                $"A polygon has {LoadLimits.MinPolygonPoints} to {LoadLimits.MaxPolygonPoints} corners, this one {points.Count}.",
                pointer);
        }

        if (points.Any(p => Math.Abs(p.X) > LoadLimits.MaxLengthMicrometres || Math.Abs(p.Y) > LoadLimits.MaxLengthMicrometres))
            return Refusal.Invalid("loading.length-out-of-range", "A corner is beyond the 5,000 mm that a plan may measure.", pointer);
        if (!IsSimple(points))
            return Refusal.Invalid("loading.polygon-not-simple", "The sides of a polygon may not touch or cross each other.", pointer);
        return DoubleArea(points) > 0
            ? null
            : Refusal.Invalid("loading.polygon-clockwise", "List the corners of a polygon anticlockwise.", pointer);
    }

    public static Int128 DoubleArea(IReadOnlyList<PlanPoint> points)
    {
        Int128 sum = 0;
        for (var i = 0; i < points.Count; i++)
        {
            var (a, b) = (points[i], points[(i + 1) % points.Count]);
            sum += ((Int128)a.X * b.Y) - ((Int128)b.X * a.Y);
        }

        return sum;
    }

    private static bool IsSimple(IReadOnlyList<PlanPoint> points)
    {
        var n = points.Count;
        for (var i = 0; i < n; i++)
        {
            var (a, b, c) = (points[i], points[(i + 1) % n], points[(i + 2) % n]);
            if (a == b || FoldsBack(a, b, c)) return false;
            for (var j = i + 2; j < n; j++)
            {
                if (i == 0 && j == n - 1) continue;
                if (Touch(a, b, points[j], points[(j + 1) % n])) return false;
            }
        }

        return true;
    }

    private static bool FoldsBack(PlanPoint a, PlanPoint b, PlanPoint c) =>
        Side(a, b, c) == 0 && ((Int128)(b.X - a.X) * (c.X - b.X)) + ((Int128)(b.Y - a.Y) * (c.Y - b.Y)) < 0;

    private static bool Touch(PlanPoint a, PlanPoint b, PlanPoint c, PlanPoint d)
    {
        var (s1, s2, s3, s4) = (Side(a, b, c), Side(a, b, d), Side(c, d, a), Side(c, d, b));
        if (s1 * s2 < 0 && s3 * s4 < 0) return true;
        return (s1 == 0 && Between(a, b, c)) || (s2 == 0 && Between(a, b, d)) || (s3 == 0 && Between(c, d, a)) || (s4 == 0 && Between(c, d, b));
    }

    private static int Side(PlanPoint a, PlanPoint b, PlanPoint c) =>
        Int128.Sign(((Int128)(b.X - a.X) * (c.Y - a.Y)) - ((Int128)(b.Y - a.Y) * (c.X - a.X)));

    private static bool Between(PlanPoint a, PlanPoint b, PlanPoint p) =>
        p.X >= Math.Min(a.X, b.X) && p.X <= Math.Max(a.X, b.X) && p.Y >= Math.Min(a.Y, b.Y) && p.Y <= Math.Max(a.Y, b.Y);
}
