using KilnShare.Core.Cones;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Low cones hold iron, which reduction changes: they then bend at another heat than their number says.</summary>
internal sealed class IronFreeCones() : LoadRule(
    "iron-free-cones", Reach.Load, "Published cone table, 2016 edition, which gives iron-free cones 010 to 3; their use in reduction from memory",
    "atmosphere, cone and series of the firing", CoFiring.Touches.Kiln)
{
    private static readonly ConeRange Iron = new(Cone.Parse("010"), Cone.Parse("3"));

    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var firing = load.Firing;
        if (firing.Atmosphere is Atmosphere.Oxidation or Atmosphere.Neutral || !Iron.Holds(firing.Cone)) yield break;
        if (firing.Series == ConeSeries.SelfSupportingIronFree) yield break;
        yield return Say(
            [], CoFiring.Touches.Kiln, Verdict.Caution,
            $"Ordinary cones from 010 to 3 hold iron, and {Atmospheres.InWords(firing.Atmosphere)} makes them bend at another heat. "
            + $"Read {load.ConeInWords} by iron-free cones, and look up their own temperature.",
            [], ("firingCone", firing.Cone.Name), ("firingAtmosphere", firing.Atmosphere)).Told;
    }
}
