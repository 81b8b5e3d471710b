namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Above the top of its range a glaze flows: whether onto the shelf depends on how far above, and on how it moves.</summary>
internal sealed class GlazeTopCone() : PieceRule(
    "glaze-top-cone", "Published kiln-care pages: one or two cones over, gloss and flow; two or three over, sticking to the shelf",
    "the cone range of each raw layer and how it moves", CoFiring.Touches.Kiln, CoFiring.Touches.Others, CoFiring.Touches.Self)
{
    internal override bool YieldsToEvidence => true;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        foreach (var bound in load.Bounds(index).ToArray())
            if (bound.Of == BoundOf.RawLayer && bound.IsComparable(load.Firing.Series) && load.Firing.Cone > bound.Range.To)
                yield return TooHot(load, load.Pieces[index], bound);
    }

    private Finding TooHot(CheckedLoad load, Ware ware, ConeBound bound)
    {
        var (touches, verdict, then) = Overfired.Judge(load.Firing, bound);
        return Say(
            [ware.Id], touches, verdict,
            $"{bound.Name} goes no higher than {load.InWords(bound.Range.To, bound.Range)}, and this firing goes to {load.ConeInWords}. {then}",
            load.OtherCone(), ("glaze", bound.Name), ("glazeTopCone", bound.Range.To.Name), ("firingCone", load.Firing.Cone.Name),
            ("conesOver", load.Firing.Cone.StepsAbove(bound.Range.To)), ("movement", bound.Layer!.Glaze.Movement));
    }
}
