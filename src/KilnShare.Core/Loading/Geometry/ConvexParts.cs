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
        return Join([.. Triangles([.. corners])]);
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
            var ear = 0;
            while (ear < rest.Count && !IsEar(rest, ear)) ear++;
            if (ear == rest.Count) ear = 0;
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
        foreach (var p in corners)
        {
            if (p != a && p != b && p != c && Plane.Cross(a, b, p) >= 0 && Plane.Cross(b, c, p) >= 0 && Plane.Cross(c, a, p) >= 0) return false;
        }

        return true;
    }

    private static ((double X, double Y) Before, (double X, double Y) At, (double X, double Y) After) Around(List<(double X, double Y)> corners, int i) =>
        (corners[(i + corners.Count - 1) % corners.Count], corners[i], corners[(i + 1) % corners.Count]);

    /// <summary>Joins the first two that can be joined, in their order, again and again; pairs that did not change are not tried twice.</summary>
    private static List<(double X, double Y)[]> Join((double X, double Y)[]?[] parts)
    {
        var pairs = new Pairs[parts.Length, parts.Length];
        for (var i = 0; i < parts.Length; i++)
        {
            for (var j = i + 1; j < parts.Length; j++) pairs[i, j] = pairs[j, i] = ShareASide(parts[i]!, parts[j]!) ? Pairs.Untried : Pairs.Apart;
        }

        while (JoinFirst(parts, pairs))
        {
        }

        return [.. parts.OfType<(double X, double Y)[]>()];
    }

    private static bool JoinFirst((double X, double Y)[]?[] parts, Pairs[,] pairs)
    {
        for (var i = 0; i < parts.Length; i++)
        {
            for (var j = i + 1; j < parts.Length; j++)
            {
                if (pairs[i, j] != Pairs.Untried || parts[i] is not { } one || parts[j] is not { } other) continue;
                if (Joined(one, other) is not { } joined)
                {
                    pairs[i, j] = Pairs.Tried;
                    continue;
                }

                (parts[i], parts[j]) = (joined, null);
                for (var k = 0; k < parts.Length; k++)
                    pairs[i, k] = pairs[k, i] = pairs[i, k] == Pairs.Apart && pairs[j, k] == Pairs.Apart ? Pairs.Apart : Pairs.Untried;
                return true;
            }
        }

        return false;
    }

    private static bool ShareASide((double X, double Y)[] a, (double X, double Y)[] b)
    {
        for (var i = 0; i < a.Length; i++)
        {
            for (var j = 0; j < b.Length; j++)
            {
                if (b[j] == a[(i + 1) % a.Length] && b[(j + 1) % b.Length] == a[i]) return true;
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

    private enum Pairs
    {
        Apart,
        Untried,
        Tried,
    }
}
