using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A glaze fired before is liquid again within its range.</summary>
internal sealed class FiredLayerMeltsAgain() : PieceRule(
    "fired-layer-melts-again", "Common practice, no source: refired glaze moves more; kiln makers' published manuals: more room for refires",
    "the cone range of each fired layer", CoFiring.Touches.Self)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        foreach (var bound in load.Bounds(index).ToArray())
        {
            if (bound.Of != BoundOf.FiredLayer || bound.Layer!.Glaze.Kind != GlazeKind.Glaze) continue;
            if (!bound.IsComparable(load.Firing.Series) || !bound.Range.Holds(load.Firing.Cone)) continue;
            var finding = Say(
                [ware.Id], CoFiring.Touches.Self, Verdict.Caution,
                $"{bound.Name} has been fired and melts again at {load.ConeInWords}: it may move more than the first time and lose crispness. "
                + "Give it more room and a clean foot.",
                [], ("glaze", bound.Name), ("glazeBottomCone", bound.Range.From.Name), ("firingCone", load.Firing.Cone.Name));
            yield return ware.StandsReadyForRefire ? finding.Told : finding;
        }
    }
}
