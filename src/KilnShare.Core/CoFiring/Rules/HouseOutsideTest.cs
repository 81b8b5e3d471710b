namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A studio may want a fired test before ware of materials from outside goes in.</summary>
internal sealed class HouseOutsideTest() : PieceRule(
    "house-outside-test", "The studio's own rules", "whether its materials come from outside and have been tested", CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (load.Firing.HouseRules?.OutsideMaterialNeedsTestAndCatcher != true || ware.OutsideMaterial != true || ware.Tested == true) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Verdict.Incompatible,
            "It is made of material from outside, and this studio wants a fired test of it first. Fire a test tile on a catcher, then record how it came out.",
            [Cure.To(CureChange.TestFirst, ware)]);
    }
}
