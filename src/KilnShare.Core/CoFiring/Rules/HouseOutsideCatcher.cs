namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A studio may want ware of materials from outside on catchers.</summary>
internal sealed class HouseOutsideCatcher() : PieceRule(
    "house-outside-catcher", "The studio's own rules", "whether its materials come from outside and what it stands on", CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (load.Firing.HouseRules?.OutsideMaterialNeedsTestAndCatcher != true || ware.OutsideMaterial != true || ware.OnCatcher == true) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Verdict.Incompatible,
            "It is made of material from outside, and this studio wants such ware on a catcher wider than its foot, 6 to 10 mm thick: put one under it.",
            [Cure.To(CureChange.Catcher, ware)]);
    }
}
