using KilnShare.Core.Common;
using KilnShare.Core.Kilns;

namespace KilnShare.Core.Loading.Checks;

/// <summary>Posts: what they are made of, what they stand on, what they carry, and what they keep from.</summary>
internal static class PostChecks
{
    public static void Find(Scene scene, List<string> found)
    {
        PostsStand(scene, found);
        PostsCarry(scene, found);
        PostsApart(scene, found);
    }

    private static void PostsStand(Scene scene, List<string> found)
    {
        var stock = scene.Problem.Furniture.Posts.GroupBy(p => p.Height).ToDictionary(g => g.Key, g => g.Sum(p => p.Count));
        var used = scene.Plan.Posts.SelectMany(p => p.Heights).GroupBy(h => h).ToDictionary(g => g.Key, g => g.Count());
        if (scene.FromStock)
        {
            foreach (var (height, count) in used)
            {
                var has = stock.GetValueOrDefault(height);
                if (count > has) found.Add($"{count} posts of {height} are used, there are {has}.");
            }
        }

        for (var i = 0; i < scene.Plan.Posts.Count; i++)
        {
            var post = scene.Plan.Posts[i];
            var sum = post.Heights.Aggregate(Length.Zero, (a, b) => a + b);
            if (sum != post.To - post.From || sum <= Length.Zero) found.Add($"Post {i} is {sum} long and should be {post.To - post.From}.");
            if (post.Heights.Count > LoadLimits.MaxStackedPosts) found.Add($"Post {i} is made of more than two.");
            if (scene.Chamber.ClearanceOf(scene.Posts[i]) < -Tolerance.Micrometres) found.Add($"Post {i} is not in the chamber.");
            if (post.StandsOn is { } on) PostOnShelf(scene, i, scene.Shelves[on], found);
            else if (post.From != Length.Zero) found.Add($"Post {i} does not reach the floor.");
        }
    }

    private static void PostOnShelf(Scene scene, int index, ShelfSeen shelf, List<string> found)
    {
        var post = scene.Plan.Posts[index];
        if (post.From.Micrometres != shelf.Top) found.Add($"Post {index} does not stand on {shelf.Name}.");
        if (shelf.Shape.Depth((post.X.Micrometres, post.Y.Micrometres)) < -Tolerance.Micrometres)
            found.Add($"The axis of post {index} is not on {shelf.Name}.");
        if (shelf.Underside == 0 && !scene.FromStock) return;
        var near = scene.Plan.Posts.Where(p => p.Carries.Contains(shelf.Placed.Index))
            .Any(p => Math.Sqrt(Math.Pow((p.X - post.X).Micrometres, 2) + Math.Pow((p.Y - post.Y).Micrometres, 2)) <= LoadLimits.PostAxisToleranceMicrometres);
        if (!near) found.Add($"Post {index} stands on {shelf.Name} with no post under it.");
    }

    private static void PostsCarry(Scene scene, List<string> found)
    {
        var bare = scene.Problem.Furniture is { PostHeights: PostHeights.Any, PostDiameter.Micrometres: 0 };
        if (bare && scene.Plan.Posts.Count > 0) found.Add("Posts that take no room are not listed.");
        foreach (var shelf in scene.Shelves)
        {
            var under = scene.Plan.Posts.Where(p => p.Carries.Contains(shelf.Placed.Index)).ToList();
            if (under.Any(p => p.To.Micrometres != shelf.Underside)) found.Add($"A post under {shelf.Name} does not end at its underside.");
            if (!scene.FromStock && (bare || shelf.Underside == 0)) continue;
            if (under.Count < LoadLimits.MinPostsUnderShelf) found.Add($"The {shelf.Name} stands on {under.Count} posts; three is the least.");
            if (scene.FromStock && shelf.Underside < LoadLimits.LowestPostMicrometres) found.Add($"The {shelf.Name} is less than 12 mm over the floor.");
            foreach (var post in under) PostUnderShelf(scene, post, shelf, found);
        }
    }

    private static void PostUnderShelf(Scene scene, PlacedPost post, ShelfSeen shelf, List<string> found)
    {
        var depth = shelf.Shape.Depth((post.X.Micrometres, post.Y.Micrometres));
        var inset = scene.Problem.Furniture.PostInset.Micrometres;
        if (depth >= inset - Tolerance.Micrometres) return;
        if (post.Carries.Count == 2)
        {
            var both = post.Carries.Select(c => scene.Shelves[c].Shape.Depth((post.X.Micrometres, post.Y.Micrometres))).ToList();
            var gap = scene.Problem.Spacing.ShelfGap.Micrometres;
            if (both.All(d => Math.Abs(d) <= gap + Tolerance.Micrometres) && Math.Abs(both[0] - both[1]) <= Tolerance.Micrometres) return;
        }

        found.Add($"A post under {shelf.Name} is {Tolerance.Mm(depth)} inside its edge; {Tolerance.Mm(inset)} is owed.");
    }

    private static void PostsApart(Scene scene, List<string> found)
    {
        for (var i = 0; i < scene.Posts.Length; i++)
        {
            var (post, shape) = (scene.Plan.Posts[i], scene.Posts[i]);
            var (from, to) = (post.From.Micrometres, post.To.Micrometres);
            foreach (var ware in scene.Ware.Where(w => w.From < to && w.To > from && !CheckShape.FarApart(w.Shape, shape, scene.Gap)))
            {
                var apart = CheckShape.Distance(ware.Shape, shape);
                if (apart < scene.Gap - Tolerance.Micrometres || CheckShape.Overlap(ware.Shape, shape))
                    found.Add($"{ware.Name} is {Tolerance.Mm(apart)} from a post; {Tolerance.Mm(scene.Gap)} is owed.");
            }

            foreach (var shelf in scene.Shelves.Where(s => s.Underside < to && s.Top > from && CheckShape.Overlap(s.Shape, shape)))
                found.Add($"Post {i} runs through {shelf.Name}.");
            for (var j = i + 1; j < scene.Posts.Length; j++)
            {
                var other = scene.Plan.Posts[j];
                if (other.From.Micrometres < to && other.To.Micrometres > from && CheckShape.Overlap(shape, scene.Posts[j]))
                    found.Add($"Posts {i} and {j} are in each other's place.");
            }
        }
    }
}
