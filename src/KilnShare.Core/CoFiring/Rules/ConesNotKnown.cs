namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A clay or glaze of which nobody knows the cone may melt: it is fired on a catcher or as a test tile, and a technician says so.</summary>
internal sealed class ConesNotKnown() : PieceRule(
    "cones-not-known", "Common practice, no source: what is not known is tested first, on a catcher", "the cone range of the body and of each layer",
        CoFiring.Touches.Kiln)
{
    internal override bool YieldsToEvidence => true;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        string[] names = [.. ware.Layers.Where(layer => layer.Glaze.Cones is null).Select(layer => layer.Glaze.Name), .. ware.Clay.Cones is null
            ? new[] { ware.Clay.Name } : []];
        if (names.Length == 0) yield break;
        var isCaught = ware.OnCatcher == true || ware.TestTile == true;
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, isCaught ? Verdict.Unknown : Verdict.Incompatible,
            $"At which cone {Names.Of(names)} is to be fired is not known, so it may melt onto the shelf at {load.ConeInWords}. "
            + (isCaught ? "It stands where little can happen; a technician should agree."
                : "Stand it on a catcher, or fire a test tile first; a technician then agrees."),
            isCaught ? [] : [Cure.To(CureChange.Catcher, ware)], ("materials", names), ("firingCone", load.Firing.Cone.Name));
    }
}
