namespace KilnShare.Core.Loading.Checks;

/// <summary>Ware stands on its shelf, apart from other ware, and under what is above it.</summary>
internal static class WareChecks
{
    public static void Find(Scene scene, List<string> found)
    {
        WareOnShelves(scene, found);
        WareApart(scene, found);
        WareUnderShelves(scene, found);
    }

    private static void WareOnShelves(Scene scene, List<string> found)
    {
        var wall = scene.Problem.Chamber.WallClearance.Micrometres;
        var lid = Math.Max(scene.Problem.Chamber.LidClearance.Micrometres, scene.Headroom);
        foreach (var ware in scene.Ware)
        {
            if (ware.Shelf.Shape.ClearanceOf(ware.Shape) < -Tolerance.Micrometres) found.Add($"{ware.Name} does not stand wholly on its shelf.");
            var clear = scene.Chamber.ClearanceOf(ware.Shape);
            if (clear < wall - Tolerance.Micrometres) found.Add($"{ware.Name} is {Tolerance.Mm(clear)} from the wall; {Tolerance.Mm(wall)} is owed.");
            if (ware.To + lid > scene.Lid) found.Add($"{ware.Name} is {Tolerance.Mm(scene.Lid - ware.To)} under the lid; {Tolerance.Mm(lid)} is owed.");
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
                if (apart < owed - Tolerance.Micrometres || CheckShape.Overlap(a.Shape, b.Shape))
                    found.Add($"{a.Name} and {b.Name} are {Tolerance.Mm(apart)} apart; {Tolerance.Mm(owed)} is owed.");
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
                    if (apart < scene.Gap - Tolerance.Micrometres || CheckShape.Overlap(ware.Shape, shelf.Shape))
                        found.Add($"{ware.Name} rises past {shelf.Name} at {Tolerance.Mm(apart)}; {Tolerance.Mm(scene.Gap)} is owed.");
                }
                else if (ware.To + scene.Headroom > shelf.Underside && CheckShape.Overlap(ware.Shape, shelf.Shape))
                {
                    found.Add($"{ware.Name} is {Tolerance.Mm(shelf.Underside - ware.To)} under {shelf.Name}; {Tolerance.Mm(scene.Headroom)} is owed.");
                }
            }

            if (passes != ware.Placed.OpenAbove) found.Add($"openAbove of {ware.Name} should be {passes}.");
        }
    }
}
