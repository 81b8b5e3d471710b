namespace KilnShare.Core.Loading.Geometry;

/// <summary>
/// Whether shapes fit, answered without rounding: whole half-micrometres, squares instead of roots, 128-bit integers.
/// Coordinates stay below 2·10⁷ in value, so that the largest product (a squared cross product) stays below 10³².
/// </summary>
internal static class Exact
{
    /// <summary>True when the shapes are at least <paramref name="gap"/> µm apart; with gap 0 they may touch.</summary>
    public static bool Apart(PlacedShape a, PlacedShape b, long gap)
    {
        var owed = 2 * gap;
        if (a.MinX - b.MaxX >= owed || b.MinX - a.MaxX >= owed || a.MinY - b.MaxY >= owed || b.MinY - a.MaxY >= owed) return true;
        if (a.IsDisc) return ApartFromPoint(b, a.X, a.Y, a.Radius + (2 * gap));
        if (b.IsDisc) return ApartFromPoint(a, b.X, b.Y, b.Radius + (2 * gap));
        if (!a.IsHalf && !b.IsHalf) return ApartPolygons(a, b, 2 * gap);
        if (a.IsHalf && b.IsHalf) return ApartHalves(a, b, 2 * gap);
        return a.IsHalf ? ApartHalfPolygon(a, b, 2 * gap) : ApartHalfPolygon(b, a, 2 * gap);
    }

    /// <summary>True when the inner shape lies wholly in the outer one, at least <paramref name="margin"/> µm from its edge.</summary>
    public static bool Inside(PlacedShape inner, PlacedShape outer, long margin)
    {
        var m = 2 * margin;
        if (outer.IsDisc) return InDisc(inner, outer, m);
        if (outer.IsHalf) return InDisc(inner, outer, m) && LeftOf(inner, outer, 0, m);
        return InPolygon(inner, outer, m);
    }

    /// <summary>True when the point (µm) lies in the shape, at least <paramref name="margin"/> µm from its edge.</summary>
    public static bool PointInside(long x, long y, PlacedShape outer, long margin) => Inside(PlacedShape.Disc(x, y, 0), outer, margin);

    // Distance from the point to the shape is at least r (all in half µm).
    private static bool ApartFromPoint(PlacedShape shape, long x, long y, long r)
    {
        if (shape.IsDisc) return Square(shape.X - x, shape.Y - y) >= (Int128)(shape.Radius + r) * (shape.Radius + r);
        if (shape.IsHalf)
        {
            return Side(shape, 0, x, y) > 0
                ? Square(shape.X - x, shape.Y - y) >= (Int128)(shape.Radius + r) * (shape.Radius + r)
                : PointEdge(shape, 0, x, y, r);
        }

        if (Contains(shape, x, y)) return false;
        for (var i = 0; i < shape.CornersX.Length; i++)
        {
            if (!PointEdge(shape, i, x, y, r)) return false;
        }

        return true;
    }

    private static bool ApartPolygons(PlacedShape a, PlacedShape b, long gap)
    {
        for (var i = 0; i < a.CornersX.Length; i++)
        {
            for (var j = 0; j < b.CornersX.Length; j++)
            {
                if (!EdgeEdge(a, i, b, j, gap)) return false;
            }
        }

        return !Holds(a, b) && !Holds(b, a);
    }

    // Called only when no edges cross: then one corner that is not on the boundary decides.
    private static bool Holds(PlacedShape outer, PlacedShape inner)
    {
        var on = 0;
        for (var i = 0; i < inner.CornersX.Length; i++)
        {
            var place = Place(outer, inner.CornersX[i], inner.CornersY[i]);
            if (place > 0) return true;
            if (place == 0) on++;
        }

        return on == inner.CornersX.Length && inner.CornersX.Length > 2 && SameCentreInside(outer, inner);
    }

    private static bool SameCentreInside(PlacedShape outer, PlacedShape inner)
    {
        var x = (inner.CornersX[0] + inner.CornersX[1] + inner.CornersX[2]) / 3;
        var y = (inner.CornersY[0] + inner.CornersY[1] + inner.CornersY[2]) / 3;
        return Place(outer, x, y) > 0;
    }

    private static bool ApartHalfPolygon(PlacedShape half, PlacedShape polygon, long gap)
    {
        var (x, y) = MiddleOf(half);
        if (Place(polygon, x, y) > 0) return false;
        for (var i = 0; i < polygon.CornersX.Length; i++)
        {
            if (!EdgeHalf(polygon, i, half, gap)) return false;
        }

        return true;
    }

    private static bool ApartHalves(PlacedShape a, PlacedShape b, long gap)
    {
        if (!EdgeHalf(a, 0, b, gap) || !EdgeHalf(b, 0, a, gap) || HoldsMiddle(a, b) || HoldsMiddle(b, a)) return false;
        var facing = Side(a, 0, b.X, b.Y) > 0 && Side(b, 0, a.X, a.Y) > 0;
        var reach = (Int128)(a.Radius + b.Radius + gap);
        return !facing || Square(a.X - b.X, a.Y - b.Y) >= reach * reach;
    }

    // Half discs along one line have no crossing edges: a point in the middle of the body decides.
    private static bool HoldsMiddle(PlacedShape outer, PlacedShape inner)
    {
        var (x, y) = MiddleOf(inner);
        return Side(outer, 0, x, y) > 0 && Square(x - outer.X, y - outer.Y) < (Int128)outer.Radius * outer.Radius;
    }

    private static (long X, long Y) MiddleOf(PlacedShape half) =>
        (half.X - ((half.CornersY[1] - half.CornersY[0]) / 8), half.Y + ((half.CornersX[1] - half.CornersX[0]) / 8));

    // An edge against a half disc: first against the flat side, then the part of the edge on the body's side against the arc.
    private static bool EdgeHalf(PlacedShape a, int i, PlacedShape half, long gap)
    {
        if (!EdgeEdge(a, i, half, 0, gap)) return false;
        var (x1, y1, x2, y2) = Edge(a, i);
        var reach = (Int128)(half.Radius + gap) * (half.Radius + gap);
        if (Side(half, 0, x1, y1) > 0 && Square(x1 - half.X, y1 - half.Y) < reach) return false;
        if (Side(half, 0, x2, y2) > 0 && Square(x2 - half.X, y2 - half.Y) < reach) return false;
        var (dx, dy) = (x2 - x1, y2 - y1);
        var length = Square(dx, dy);
        var along = ((Int128)(half.X - x1) * dx) + ((Int128)(half.Y - y1) * dy);
        if (along <= 0 || along >= length) return true;
        var (fx, fy, hx, hy) = (half.CornersX[1] - half.CornersX[0], half.CornersY[1] - half.CornersY[0], half.CornersX[0], half.CornersY[0]);
        var footSide = (length * (((Int128)fx * (y1 - hy)) - ((Int128)fy * (x1 - hx)))) + (along * (((Int128)fx * dy) - ((Int128)fy * dx)));
        if (footSide <= 0) return true;
        var cross = Cross(x1, y1, x2, y2, half.X, half.Y);
        return cross * cross >= reach * length;
    }

    private static bool InDisc(PlacedShape inner, PlacedShape outer, long margin)
    {
        var within = outer.Radius - margin - (inner.IsDisc ? inner.Radius : 0);
        if (within < 0) return false;
        var limit = (Int128)within * within;
        if (inner.IsDisc) return Square(inner.X - outer.X, inner.Y - outer.Y) <= limit;
        for (var i = 0; i < inner.CornersX.Length; i++)
        {
            if (Square(inner.CornersX[i] - outer.X, inner.CornersY[i] - outer.Y) > limit) return false;
        }

        // The farthest point of a half disc from another centre is on the ray away from that centre, when the body is there.
        if (!inner.IsHalf) return true;
        var (awayX, awayY) = ((2 * inner.X) - outer.X, (2 * inner.Y) - outer.Y);
        if (Side(inner, 0, awayX, awayY) <= 0 && (inner.X != outer.X || inner.Y != outer.Y)) return true;
        var left = within - inner.Radius;
        return left >= 0 && Square(inner.X - outer.X, inner.Y - outer.Y) <= (Int128)left * left;
    }

    private static bool InPolygon(PlacedShape inner, PlacedShape outer, long margin)
    {
        var reach = margin + (inner.IsDisc ? inner.Radius : 0);
        if (inner.IsDisc)
        {
            if (Place(outer, inner.X, inner.Y) < 0) return false;
            for (var i = 0; i < outer.CornersX.Length; i++)
            {
                if (!PointEdge(outer, i, inner.X, inner.Y, reach)) return false;
            }

            return true;
        }

        for (var i = 0; i < inner.CornersX.Length; i++)
        {
            if (Place(outer, inner.CornersX[i], inner.CornersY[i]) < 0) return false;
        }

        return inner.IsHalf ? HalfInPolygon(inner, outer, margin) : EdgesKeepIn(inner, outer, margin);
    }

    private static bool EdgesKeepIn(PlacedShape inner, PlacedShape outer, long margin)
    {
        for (var i = 0; i < outer.CornersX.Length; i++)
        {
            if (Place(inner, outer.CornersX[i], outer.CornersY[i]) > 0) return false;
            for (var j = 0; j < inner.CornersX.Length; j++)
            {
                if (!EdgeEdge(outer, i, inner, j, margin)) return false;
            }
        }

        return true;
    }

    private static bool HalfInPolygon(PlacedShape inner, PlacedShape outer, long margin)
    {
        for (var i = 0; i < outer.CornersX.Length; i++)
        {
            if (!EdgeHalf(outer, i, inner, margin)) return false;
        }

        return true;
    }

    // True when all of the inner shape is at least that far to the left of an edge's line.
    private static bool LeftOf(PlacedShape inner, PlacedShape outer, int edge, long margin)
    {
        if (inner.IsDisc) return PointLeft(outer, edge, inner.X, inner.Y, margin + inner.Radius);
        for (var i = 0; i < inner.CornersX.Length; i++)
        {
            if (!PointLeft(outer, edge, inner.CornersX[i], inner.CornersY[i], margin)) return false;
        }

        return !inner.IsHalf || PointLeft(outer, edge, inner.X, inner.Y, margin + inner.Radius) || !Bulges(inner, outer, edge);
    }

    // True where the arc comes nearest to the line: the direction straight towards the line points out of the arc.
    private static bool Bulges(PlacedShape half, PlacedShape outer, int edge)
    {
        var (x1, y1, x2, y2) = Edge(outer, edge);
        return Side(half, 0, half.X + (y2 - y1), half.Y - (x2 - x1)) > 0;
    }

    private static bool PointLeft(PlacedShape outer, int edge, long x, long y, long reach)
    {
        var (x1, y1, x2, y2) = Edge(outer, edge);
        var cross = Cross(x1, y1, x2, y2, x, y);
        return cross >= 0 && cross * cross >= (Int128)reach * reach * Square(x2 - x1, y2 - y1);
    }

    private static bool PointEdge(PlacedShape shape, int edge, long x, long y, long reach)
    {
        var (x1, y1, x2, y2) = Edge(shape, edge);
        var limit = (Int128)reach * reach;
        var (dx, dy) = (x2 - x1, y2 - y1);
        var along = ((Int128)(x - x1) * dx) + ((Int128)(y - y1) * dy);
        if (along <= 0) return Square(x - x1, y - y1) >= limit;
        var length = Square(dx, dy);
        if (along >= length) return Square(x - x2, y - y2) >= limit;
        var cross = Cross(x1, y1, x2, y2, x, y);
        return cross * cross >= limit * length;
    }

    private static bool EdgeEdge(PlacedShape a, int i, PlacedShape b, int j, long gap)
    {
        var (ax, ay, bx, by) = Edge(a, i);
        var (cx, cy, dx, dy) = Edge(b, j);
        var (s1, s2) = (Int128.Sign(Cross(ax, ay, bx, by, cx, cy)), Int128.Sign(Cross(ax, ay, bx, by, dx, dy)));
        var (s3, s4) = (Int128.Sign(Cross(cx, cy, dx, dy, ax, ay)), Int128.Sign(Cross(cx, cy, dx, dy, bx, by)));
        if (s1 * s2 < 0 && s3 * s4 < 0) return false;
        return gap == 0 || (PointEdge(a, i, cx, cy, gap) && PointEdge(a, i, dx, dy, gap) && PointEdge(b, j, ax, ay, gap) && PointEdge(b, j, bx, by, gap));
    }

    private static bool Contains(PlacedShape polygon, long x, long y) => Place(polygon, x, y) > 0;

    // 1 inside, 0 on the boundary, -1 outside a simple polygon (crossing number).
    private static int Place(PlacedShape polygon, long x, long y)
    {
        var inside = false;
        for (var i = 0; i < polygon.CornersX.Length; i++)
        {
            var (x1, y1, x2, y2) = Edge(polygon, i);
            var cross = Cross(x1, y1, x2, y2, x, y);
            if (cross == 0 && x >= Math.Min(x1, x2) && x <= Math.Max(x1, x2) && y >= Math.Min(y1, y2) && y <= Math.Max(y1, y2)) return 0;
            if (y1 > y != y2 > y && (y2 > y1 ? cross > 0 : cross < 0)) inside = !inside;
        }

        return inside ? 1 : -1;
    }

    private static int Side(PlacedShape shape, int edge, long x, long y)
    {
        var (x1, y1, x2, y2) = Edge(shape, edge);
        return Int128.Sign(Cross(x1, y1, x2, y2, x, y));
    }

    private static (long X1, long Y1, long X2, long Y2) Edge(PlacedShape shape, int i)
    {
        var next = i + 1 == shape.CornersX.Length ? 0 : i + 1;
        return (shape.CornersX[i], shape.CornersY[i], shape.CornersX[next], shape.CornersY[next]);
    }

    private static Int128 Cross(long x1, long y1, long x2, long y2, long x, long y) =>
        ((Int128)(x2 - x1) * (y - y1)) - ((Int128)(y2 - y1) * (x - x1));

    private static Int128 Square(long dx, long dy) => ((Int128)dx * dx) + ((Int128)dy * dy);
}
