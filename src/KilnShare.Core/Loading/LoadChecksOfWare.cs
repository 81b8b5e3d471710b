using KilnShare.Core.Loading.Checks;

namespace KilnShare.Core.Loading;

/// <content>Shelves, ware and figures.</content>
public static partial class LoadChecks
{
    private static void ShelvesInChamber(Scene scene, List<string> found)
    {
        foreach (var shelf in scene.Shelves)
        {
            if (shelf.Underside < 0 || shelf.Top > scene.Lid) found.Add($"The {shelf.Name} is not between floor and lid.");
            if (scene.Chamber.ClearanceOf(shelf.Shape) < -ToleranceMicrometres) found.Add($"The {shelf.Name} is not wholly in the chamber.");
        }

        for (var i = 0; i < scene.Shelves.Length; i++)
        {
            for (var j = i + 1; j < scene.Shelves.Length; j++)
            {
                var (a, b) = (scene.Shelves[i], scene.Shelves[j]);
                var owed = scene.Problem.Spacing.ShelfGap.Micrometres;
                if (a.Underside >= b.Top || b.Underside >= a.Top) continue;
                var apart = CheckShape.Distance(a.Shape, b.Shape);
                if (apart < owed - ToleranceMicrometres || CheckShape.Overlap(a.Shape, b.Shape))
                    found.Add($"The {a.Name} and {b.Name} are {Mm(apart)} apart; {Mm(owed)} is owed.");
            }
        }
    }

    private static void WareOnShelves(Scene scene, List<string> found)
    {
        var wall = scene.Problem.Chamber.WallClearance.Micrometres;
        var lid = Math.Max(scene.Problem.Chamber.LidClearance.Micrometres, scene.Headroom);
        foreach (var ware in scene.Ware)
        {
            if (ware.Shelf.Shape.ClearanceOf(ware.Shape) < -ToleranceMicrometres) found.Add($"{ware.Name} does not stand wholly on its shelf.");
            var clear = scene.Chamber.ClearanceOf(ware.Shape);
            if (clear < wall - ToleranceMicrometres) found.Add($"{ware.Name} is {Mm(clear)} from the wall; {Mm(wall)} is owed.");
            if (ware.To + lid > scene.Lid) found.Add($"{ware.Name} is {Mm(scene.Lid - ware.To)} under the lid; {Mm(lid)} is owed.");
            if (!ware.Piece.MayTurn && ware.Placed.RotationThousandths != 0) found.Add($"{ware.Name} is turned and may not be.");
            if (ware.Placed.RotationThousandths is < 0 or >= 360_000) found.Add($"{ware.Name} is turned by more than one turn.");
            if (ware.Placed.Copies.Count > (ware.Piece.Stack?.Most ?? 1)) found.Add($"Too many copies of {ware.Placed.PieceId} stand on each other.");
        }
    }

    private static void WareApart(Scene scene, List<string> found)
    {
        for (var i = 0; i < scene.Ware.Length; i++)
        {
            for (var j = i + 1; j < scene.Ware.Length; j++)
            {
                var (a, b) = (scene.Ware[i], scene.Ware[j]);
                if (a.From >= b.To || b.From >= a.To || CheckShape.FarApart(a.Shape, b.Shape, scene.Gap)) continue;
                var owed = a.Piece.Touch && b.Piece.Touch ? 0 : scene.Gap;
                var apart = CheckShape.Distance(a.Shape, b.Shape);
                if (apart < owed - ToleranceMicrometres || CheckShape.Overlap(a.Shape, b.Shape))
                    found.Add($"{a.Name} and {b.Name} are {Mm(apart)} apart; {Mm(owed)} is owed.");
            }
        }
    }

    private static void WareUnderShelves(Scene scene, List<string> found)
    {
        foreach (var ware in scene.Ware)
        {
            var passes = false;
            foreach (var shelf in scene.Shelves)
            {
                if (shelf == ware.Shelf || shelf.Top <= ware.From) continue;
                if (ware.To > shelf.Underside)
                {
                    passes |= shelf.Underside >= ware.From;
                    if (CheckShape.FarApart(ware.Shape, shelf.Shape, scene.Gap)) continue;
                    var apart = CheckShape.Distance(ware.Shape, shelf.Shape);
                    if (apart < scene.Gap - ToleranceMicrometres || CheckShape.Overlap(ware.Shape, shelf.Shape))
                        found.Add($"{ware.Name} rises past {shelf.Name} at {Mm(apart)}; {Mm(scene.Gap)} is owed.");
                }
                else if (ware.To + scene.Headroom > shelf.Underside && CheckShape.Overlap(ware.Shape, shelf.Shape))
                {
                    found.Add($"{ware.Name} is {Mm(shelf.Underside - ware.To)} under {shelf.Name}; {Mm(scene.Headroom)} is owed.");
                }
            }

            if (passes != ware.Placed.OpenAbove) found.Add($"openAbove of {ware.Name} should be {passes}.");
        }
    }

    private static void KeepOutsKept(Scene scene, List<string> found)
    {
        for (var i = 0; i < scene.KeepOuts.Length; i++)
        {
            var (shape, from, to) = (scene.KeepOuts[i], scene.Problem.KeepOuts[i].From.Micrometres, scene.Problem.KeepOuts[i].To.Micrometres);
            foreach (var ware in scene.Ware.Where(w => w.From < to && w.To > from && !CheckShape.FarApart(w.Shape, shape, scene.Gap)))
            {
                var apart = CheckShape.Distance(ware.Shape, shape);
                if (apart < scene.Gap - ToleranceMicrometres || CheckShape.Overlap(ware.Shape, shape))
                    found.Add($"{ware.Name} is {Mm(apart)} from keep-out {i}; {Mm(scene.Gap)} is owed.");
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

    private static void Figures(Scene scene, List<string> found)
    {
        foreach (var shelf in scene.Shelves)
        {
            var ware = scene.Ware.Where(w => w.Shelf == shelf).ToList();
            var use = (decimal)(ware.Sum(w => CheckShape.AreaOf(w.Piece.Footprint)) / CheckShape.AreaOf(shelf.Kind.Footprint));
            if (Math.Abs(use - shelf.Placed.AreaUse) > 0.0006m) found.Add($"The area use of {shelf.Name} is {use:0.0000}, not {shelf.Placed.AreaUse}.");
            var ceiling = scene.Shelves.Where(s => s.Underside >= shelf.Top && CheckShape.Overlap(s.Shape, shelf.Shape)).Select(s => s.Underside)
                .Append(scene.Lid - scene.Problem.Chamber.LidClearance.Micrometres).Min();
            if (ceiling - shelf.Top != shelf.Placed.ClearAbove.Micrometres) found.Add($"The clear height over {shelf.Name} is {Mm(ceiling - shelf.Top)}.");
        }

        var weight = scene.Ware.Sum(w => w.Piece.Priority * w.Placed.Copies.Count);
        var top = scene.Ware.Select(w => w.To).DefaultIfEmpty(0).Max();
        if (weight != scene.Plan.PlacedWeight) found.Add($"The placed weight is {weight}, not {scene.Plan.PlacedWeight}.");
        if (weight > scene.Plan.WeightBound) found.Add($"The placed weight {weight} is above its bound {scene.Plan.WeightBound}.");
        if (scene.Plan.Stopped == StopReason.Proven && weight != scene.Plan.WeightBound) found.Add("Proven is claimed, but the bound is not reached.");
        if (top != scene.Plan.Top.Micrometres) found.Add($"The highest ware ends at {Mm(top)}, not {scene.Plan.Top}.");
    }
}
