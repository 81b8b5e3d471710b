using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Paper pulp and the like burn out of the clay in its first firing, with smoke.</summary>
internal sealed class OrganicsBurnOut() : LoadRule(
    "organics-burn-out", Reach.Load, "Ceramic society firing chart (2005): organic matter burns out from 300 to 800 °C and wants air",
        "whether the clay holds organic matter", CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var smoking = load.Where(i => load.Pieces[i].Stage == Stage.Greenware && load.Pieces[i].Clay.Organics == true);
        if (smoking.Count == 0) yield break;
        yield return Say(
            load.Ids(smoking), CoFiring.Touches.Kiln, Verdict.Caution,
            $"The clay of {Names.Of(load.Ids(smoking))} holds organic matter, which burns out with smoke from 300 to 800 °C (572 to 1472 °F). "
            + "Run the vent, keep the climb slow there, and stay out of the smoke.",
            []).Told;
    }
}
