using KilnShare.Core.Cones;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Ware on stilts sags over their points once its body softens.</summary>
internal sealed class Stilts() : PieceRule(
    "ware-on-stilts", "Kiln makers' published manuals: stilts for low-fire ware, cone 06 to 04, 6 at the most, never high-fire porcelain",
    "whether it stands on stilts", CoFiring.Touches.Kiln)
{
    private static readonly Cone LowFireTo = Cone.Parse("04");
    private static readonly Cone NeverAbove = Cone.Parse("6");

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (ware.OnStilts != true || load.Firing.Cone <= LowFireTo) yield break;
        var verdict = load.Firing.Cone > NeverAbove ? Verdict.Incompatible : Verdict.Caution;
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, verdict,
            $"Stilts are for low-fire ware, up to {ConeText.With(LowFireTo)}, at the most {ConeText.With(NeverAbove)}; this firing goes to {load.ConeInWords}. "
            + "The body softens and sags over the points, or falls: wipe the foot and fire it without stilts.",
            [Cure.To(CureChange.NoStilts, ware)], ("firingCone", load.Firing.Cone.Name));
    }
}
