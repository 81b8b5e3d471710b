namespace KilnShare.Core.Loading.Checks;

/// <summary>Nothing comes into a keep-out, and ware keeps its gap from it.</summary>
internal static class KeepOutChecks
{
    public static void Find(Scene scene, List<string> found)
    {
        for (var i = 0; i < scene.KeepOuts.Length; i++)
        {
            var (shape, from, to) = (scene.KeepOuts[i], scene.Problem.KeepOuts[i].From.Micrometres, scene.Problem.KeepOuts[i].To.Micrometres);
            foreach (var ware in scene.Ware.Where(w => w.From < to && w.To > from && !CheckShape.FarApart(w.Shape, shape, scene.Gap)))
            {
                var apart = CheckShape.Distance(ware.Shape, shape);
                if (apart < scene.Gap - Tolerance.Micrometres || CheckShape.Overlap(ware.Shape, shape))
                    found.Add($"{ware.Name} is {Tolerance.Mm(apart)} from keep-out {i}; {Tolerance.Mm(scene.Gap)} is owed.");
            }

            foreach (var shelf in scene.Shelves.Where(s => s.Underside < to && s.Top > from && CheckShape.Overlap(s.Shape, shape)))
                found.Add($"The {shelf.Name} reaches into keep-out {i}.");
            for (var p = 0; p < scene.Posts.Length; p++)
            {
                var post = scene.Plan.Posts[p];
                if (post.From.Micrometres < to && post.To.Micrometres > from && CheckShape.Overlap(scene.Posts[p], shape))
                    found.Add($"Post {p} reaches into keep-out {i}.");
            }
        }
    }
}
