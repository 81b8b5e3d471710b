namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Below the bottom of its range a glaze does not melt through.</summary>
internal sealed class GlazeBottomCone() : PieceRule(
    "glaze-bottom-cone", "Common practice, no source", "the cone range of each raw layer", CoFiring.Touches.Self)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        foreach (var bound in load.Bounds(index).ToArray())
        {
            if (bound.Of != BoundOf.RawLayer || !bound.IsComparable(load.Firing.Series) || load.Firing.Cone >= bound.Range.From) continue;
            yield return Say(
                [ware.Id], CoFiring.Touches.Self, Verdict.Caution,
                $"{bound.Name} melts from {load.InWords(bound.Range.From, bound.Range)} on, and this firing stops at {load.ConeInWords}. "
                + "It would stay dry and rough: fire it hotter, in another firing, or accept that.",
                load.OtherCone(), ("glaze", bound.Name), ("glazeBottomCone", bound.Range.From.Name),
                ("firingCone", load.Firing.Cone.Name), ("conesUnder", bound.Range.From.StepsAbove(load.Firing.Cone)));
        }
    }
}
