namespace KilnShare.Core.Loading.Checks;

/// <summary>Shelves lie in the chamber, apart from each other, and balance on their posts.</summary>
internal static class ShelfChecks
{
    public static void Lie(Scene scene, List<string> found)
    {
        foreach (var shelf in scene.Shelves)
        {
            if (shelf.Underside < 0 || shelf.Top > scene.Lid) found.Add($"The {shelf.Name} is not between floor and lid.");
            if (scene.Chamber.ClearanceOf(shelf.Shape) < -Tolerance.Micrometres) found.Add($"The {shelf.Name} is not wholly in the chamber.");
        }

        for (var i = 0; i < scene.Shelves.Length; i++)
        {
            for (var j = i + 1; j < scene.Shelves.Length; j++)
            {
                var (a, b) = (scene.Shelves[i], scene.Shelves[j]);
                var owed = scene.Problem.Spacing.ShelfGap.Micrometres;
                if (a.Underside >= b.Top || b.Underside >= a.Top) continue;
                var apart = CheckShape.Distance(a.Shape, b.Shape);
                if (apart < owed - Tolerance.Micrometres || CheckShape.Overlap(a.Shape, b.Shape))
                    found.Add($"The {a.Name} and {b.Name} are {Tolerance.Mm(apart)} apart; {Tolerance.Mm(owed)} is owed.");
            }
        }
    }

    public static void Balance(Scene scene, List<string> found)
    {
        foreach (var shelf in scene.Shelves)
        {
            var posts = scene.Plan.Posts.Where(p => p.Carries.Contains(shelf.Placed.Index))
                .Select(p => ((double)p.X.Micrometres, (double)p.Y.Micrometres)).ToList();
            if (posts.Count < LoadLimits.MinPostsUnderShelf) continue;
            var (x, y) = CentreOfMass(scene, shelf);
            var inside = InsideHull(posts, x, y);
            if (inside < LoadLimits.BalanceMarginMicrometres - Tolerance.Micrometres)
                found.Add($"The centre of mass of {shelf.Name} is {Tolerance.Mm(inside)} inside its posts; 10 mm is the least.");
        }
    }

    private static (double X, double Y) CentreOfMass(Scene scene, ShelfSeen shelf)
    {
        // µm³ to m³, times kg/m³, to g.
        var own = CheckShape.AreaOf(shelf.Kind.Footprint) * shelf.Kind.Thickness.Micrometres * 1e-18 * (double)LoadLimits.ShelfDensityKgPerM3 * 1000;
        var parts = scene.Ware.Where(w => w.Shelf == shelf)
            .Select(w => (Mass: (double)(w.Piece.MassG ?? 0) * w.Placed.Copies.Count, At: w.Shape.Centroid()))
            .Append((Mass: (double?)shelf.Kind.MassG ?? own, At: shelf.Shape.Centroid())).ToList();
        var total = parts.Sum(p => p.Mass);
        return total <= 0 ? shelf.Shape.Centroid() : (parts.Sum(p => p.Mass * p.At.X) / total, parts.Sum(p => p.Mass * p.At.Y) / total);
    }

    // Every line through two of the points with none on its right is a side of the hull.
    private static double InsideHull(List<(double X, double Y)> points, double x, double y)
    {
        var least = double.MaxValue;
        foreach (var a in points)
        {
            foreach (var b in points)
            {
                var length = Math.Sqrt(Math.Pow(b.X - a.X, 2) + Math.Pow(b.Y - a.Y, 2));
                if (length == 0) continue;
                double LeftBy(double px, double py) => (((b.X - a.X) * (py - a.Y)) - ((b.Y - a.Y) * (px - a.X))) / length;
                if (points.All(p => LeftBy(p.X, p.Y) >= -1e-6)) least = Math.Min(least, LeftBy(x, y));
            }
        }

        return least;
    }
}
