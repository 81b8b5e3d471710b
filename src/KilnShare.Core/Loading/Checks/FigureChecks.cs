namespace KilnShare.Core.Loading.Checks;

/// <summary>The figures of a plan are those of what stands in it.</summary>
internal static class FigureChecks
{
    public static void Find(Scene scene, List<string> found)
    {
        foreach (var shelf in scene.Shelves)
        {
            var ware = scene.Ware.Where(w => w.Shelf == shelf).ToList();
            var use = (decimal)(ware.Sum(w => CheckShape.AreaOf(w.Piece.Footprint)) / CheckShape.AreaOf(shelf.Kind.Footprint));
            if (Math.Abs(use - shelf.Placed.AreaUse) > 0.0006m) found.Add($"The area use of {shelf.Name} is {use:0.0000}, not {shelf.Placed.AreaUse}.");
            var ceiling = scene.Shelves.Where(s => s.Underside >= shelf.Top && CheckShape.Overlap(s.Shape, shelf.Shape)).Select(s => s.Underside)
                .Append(scene.Lid - scene.Problem.Chamber.LidClearance.Micrometres).Min();
            if (ceiling - shelf.Top != shelf.Placed.ClearAbove.Micrometres) found.Add(
                $"The clear height over {shelf.Name} is {Tolerance.Mm(ceiling - shelf.Top)}.");
        }

        var weight = scene.Ware.Sum(w => w.Piece.Priority * w.Placed.Copies.Count);
        var top = scene.Ware.Select(w => w.To).DefaultIfEmpty(0).Max();
        if (weight != scene.Plan.PlacedWeight) found.Add($"The placed weight is {weight}, not {scene.Plan.PlacedWeight}.");
        if (weight > scene.Plan.WeightBound) found.Add($"The placed weight {weight} is above its bound {scene.Plan.WeightBound}.");
        if (scene.Plan.Stopped == StopReason.Proven && weight != scene.Plan.WeightBound) found.Add("Proven is claimed, but the bound is not reached.");
        if (top != scene.Plan.Top.Micrometres) found.Add($"The highest ware ends at {Tolerance.Mm(top)}, not {scene.Plan.Top}.");
    }
}
