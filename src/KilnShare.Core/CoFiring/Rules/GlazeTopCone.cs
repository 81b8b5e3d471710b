using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Above the top of its range a glaze flows: whether onto the shelf depends on how it moves.</summary>
internal sealed class GlazeTopCone() : PieceRule(
    "glaze-top-cone", "Published kiln-care pages: one or two cones over, gloss and flow; two or three over, sticking to the shelf",
    "the cone range of each raw layer and how it moves", CoFiring.Touches.Kiln)
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
        var (verdict, then) = Overfired.Judge(bound.Layer!.Glaze.Movement);
        return Say(
            [ware.Id], CoFiring.Touches.Kiln, verdict,
            $"{bound.Name} goes no higher than {load.InWords(bound.Range.To, bound.Range)}, and this firing goes to {load.ConeInWords}. {then}",
            load.OtherCone(), ("glaze", bound.Name), ("glazeTopCone", bound.Range.To.Name), ("firingCone", load.Firing.Cone.Name),
            ("conesOver", load.Firing.Cone.Order - bound.Range.To.Order), ("movement", bound.Layer.Glaze.Movement));
    }
}

/// <summary>What becomes of a coat above the top of its range.</summary>
internal static class Overfired
{
    public static (Verdict Verdict, string Then) Judge(Movement? movement) => movement switch
    {
        Movement.Stable => (Verdict.Caution, "It stays put but comes out glossier, thinner or bleached: try it on a test first."),
        Movement.Moves or Movement.Runs => (Verdict.Incompatible, "It would run onto the shelf and its neighbours: fire it cooler, in another firing."),
        _ => (Verdict.Unknown, "Whether it would run onto the shelf is not known: ask a technician, or fire a test on a catcher first."),
    };
}
