namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Only a laboratory can say what ware gives off into food; without its figures nothing is said.</summary>
internal sealed class FoodReleaseNotMeasured() : PieceRule(
    "food-release-not-measured", "EU 84/500/EEC, FDA CPG 545.400/450, ISO 6486: 4 % acetic acid, 24 h, measured in a laboratory",
        "a laboratory's release figures",
    CoFiring.Touches.Use)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (!ware.IsForFood || !load.Firing.FinishesSurface || ware.Release is not null) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Use, Verdict.Unknown,
            "It is for food, and no laboratory has measured what its glaze gives off. Have a piece of the same clay, glaze and firing measured, "
            + "and follow your local rules for ware in contact with food.",
            [Cure.To(CureChange.NotForFood, ware)]);
    }
}
