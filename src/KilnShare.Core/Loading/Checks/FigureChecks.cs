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

        HandRoomOf(scene, found);
        var weight = scene.Ware.Sum(w => w.Piece.Priority * w.Placed.Copies.Count);
        var top = scene.Ware.Select(w => w.To).DefaultIfEmpty(0).Max();
        if (weight != scene.Plan.PlacedWeight) found.Add($"The placed weight is {weight}, not {scene.Plan.PlacedWeight}.");
        if (weight > scene.Plan.WeightBound) found.Add($"The placed weight {weight} is above its bound {scene.Plan.WeightBound}.");
        if (scene.Plan.Stopped == StopReason.Proven && weight != scene.Plan.WeightBound) found.Add("Proven is claimed, but the bound is not reached.");
        if (top != scene.Plan.Top.Micrometres) found.Add($"The highest ware ends at {Tolerance.Mm(top)}, not {scene.Plan.Top}.");
    }

    // Half of the least distance between ware on the shelf and other ware beside it, to a tenth of a millimetre; both outlines may be rounded.
    private static void HandRoomOf(Scene scene, List<string> found)
    {
        const double Tenth = 100;
        foreach (var shelf in scene.Shelves)
        {
            var least = double.PositiveInfinity;
            foreach (var one in scene.Ware.Where(w => w.Shelf == shelf))
            {
                foreach (var other in scene.Ware.Where(w => w != one && w.From < one.To && one.From < w.To && !(w.Piece.Touch && one.Piece.Touch)))
                {
                    if (!CheckShape.FarApart(one.Shape, other.Shape, least)) least = Math.Min(least, CheckShape.Distance(one.Shape, other.Shape));
                }
            }

            var said = shelf.Placed.HandsMayBeOff?.Micrometres;
            if (double.IsInfinity(least) != said is null)
                found.Add($"Hands on {shelf.Name} are said to be off by {said} um at most; {(said is null ? "two" : "no two")} pieces stand beside each "
                    + $"other there.");
            else if (said is { } off && (2 * off > least + (3 * Tolerance.Micrometres) || 2 * (off + Tenth) < least - (3 * Tolerance.Micrometres)))
                found.Add($"Hands on {shelf.Name} may be off by {Tolerance.Mm(least / 2)}, not {Tolerance.Mm(off)}.");
        }
    }
}
