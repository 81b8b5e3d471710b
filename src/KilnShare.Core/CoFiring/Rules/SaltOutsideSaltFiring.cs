using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Salt vapour glazes whatever it reaches and eats brick and elements: it stays in kilns that are given over to it.</summary>
internal sealed class SaltOutsideSaltFiring() : PieceRule(
    "salt-outside-salt-firing", "Common practice, no source: salt and soda only with their own kind", "what is in the clay and the layers",
    CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        if (load.Firing.Atmosphere == Atmosphere.SaltSoda || !load.AtWork(index).Has(Substance.Salt)) yield break;
        var ware = load.Pieces[index];
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Verdict.Incompatible,
            "It carries salt. The vapour would glaze its neighbours and eat into brick, shelves and elements, and it is not to be breathed: "
            + "fire it in a salt or soda kiln only.",
            [], ("firingAtmosphere", load.Firing.Atmosphere));
    }
}
