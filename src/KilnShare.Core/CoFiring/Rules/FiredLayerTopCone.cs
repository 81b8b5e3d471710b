namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A glaze fired before flows like a raw one above the top of its range.</summary>
internal sealed class FiredLayerTopCone() : PieceRule(
    "fired-layer-top-cone", "As glaze-top-cone; that fired layers count only where they melt again is common practice, no source",
    "the cone range of each fired layer and how it moves", CoFiring.Touches.Kiln, CoFiring.Touches.Others, CoFiring.Touches.Self)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        foreach (var bound in load.Bounds(index).ToArray())
        {
            if (bound.Of != BoundOf.FiredLayer || !bound.IsComparable(load.Firing.Series) || load.Firing.Cone <= bound.Range.To) continue;
            var (touches, verdict, then) = Overfired.Judge(load.Firing, bound);
            yield return Say(
                [ware.Id], touches, verdict,
                $"{bound.Name}, fired before, goes no higher than {load.InWords(bound.Range.To, bound.Range)}; this firing goes to {load.ConeInWords}. {then}",
                load.OtherCone(), ("glaze", bound.Name), ("glazeTopCone", bound.Range.To.Name), ("firingCone", load.Firing.Cone.Name));
        }
    }
}
