namespace KilnShare.Core.Loading.Geometry;

/// <summary>
/// Cuts a simple polygon into few convex parts: ears are cut off, then parts are joined where the union stays convex
/// (Hertel and Mehlhorn 1983: at most four times the fewest possible).
/// </summary>
internal static class ConvexParts
{
    public static List<(double X, double Y)[]> Of((double X, double Y)[] corners)
    {
        if (IsConvex(corners)) return [corners];
        var parts = Triangles([.. corners]);
        while (JoinOnce(parts))
        {
        }

        return parts;
    }

    /// <summary>What the hull of a polygon holds beyond the polygon, in convex parts.</summary>
    public static List<(double X, double Y)[]> Pockets((double X, double Y)[] corners)
    {
        var hull = Plane.Hull(corners).ToHashSet();
        var n = corners.Length;
        var first = Array.FindIndex(corners, hull.Contains);
        var pockets = new List<(double X, double Y)[]>();
        var pocket = new List<(double X, double Y)> { corners[first] };
        for (var i = 1; i <= n; i++)
        {
            var corner = corners[(first + i) % n];
            pocket.Add(corner);
            if (!hull.Contains(corner)) continue;
            pocket.Reverse();
            if (pocket.Count > 2 && Plane.AreaAndCentroid([.. pocket]).Area > 0) pockets.AddRange(Of([.. pocket]));
            pocket = [corner];
        }

        return pockets;
    }

    private static bool IsConvex((double X, double Y)[] corners)
    {
        var n = corners.Length;
        for (var i = 0; i < n; i++)
        {
            if (Plane.Cross(corners[i], corners[(i + 1) % n], corners[(i + 2) % n]) < 0) return false;
        }

        return true;
    }

    private static List<(double X, double Y)[]> Triangles(List<(double X, double Y)> rest)
    {
        var triangles = new List<(double X, double Y)[]>();
        while (rest.Count > 3)
        {
            var ear = Enumerable.Range(0, rest.Count).FirstOrDefault(i => IsEar(rest, i), 0);
            var (before, at, after) = Around(rest, ear);
            if (Plane.Cross(before, at, after) > 0) triangles.Add([before, at, after]);
            rest.RemoveAt(ear);
        }

        if (Plane.Cross(rest[0], rest[1], rest[2]) > 0) triangles.Add([.. rest]);
        return triangles;
    }

    private static bool IsEar(List<(double X, double Y)> corners, int i)
    {
        var (a, b, c) = Around(corners, i);
        if (Plane.Cross(a, b, c) <= 0) return Plane.Cross(a, b, c) == 0;
        return corners.All(p => p == a || p == b || p == c
            || Plane.Cross(a, b, p) < 0 || Plane.Cross(b, c, p) < 0 || Plane.Cross(c, a, p) < 0);
    }

    private static ((double X, double Y) Before, (double X, double Y) At, (double X, double Y) After) Around(List<(double X, double Y)> corners, int i) =>
        (corners[(i + corners.Count - 1) % corners.Count], corners[i], corners[(i + 1) % corners.Count]);

    private static bool JoinOnce(List<(double X, double Y)[]> parts)
    {
        for (var i = 0; i < parts.Count; i++)
        {
            for (var j = i + 1; j < parts.Count; j++)
            {
                if (Joined(parts[i], parts[j]) is not { } joined) continue;
                parts[i] = joined;
                parts.RemoveAt(j);
                return true;
            }
        }

        return false;
    }

    private static (double X, double Y)[]? Joined((double X, double Y)[] a, (double X, double Y)[] b)
    {
        for (var i = 0; i < a.Length; i++)
        {
            var next = (i + 1) % a.Length;
            for (var j = 0; j < b.Length; j++)
            {
                if (b[j] != a[next] || b[(j + 1) % b.Length] != a[i]) continue;
                var around = Enumerable.Range(0, a.Length).Select(k => a[(next + k) % a.Length])
                    .Concat(Enumerable.Range(2, b.Length - 2).Select(k => b[(j + k) % b.Length])).ToArray();
                return IsConvex(around) ? around : null;
            }
        }

        return null;
    }
}
