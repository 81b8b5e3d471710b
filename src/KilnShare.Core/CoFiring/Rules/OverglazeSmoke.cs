using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>The oils and resins of lustre and decals burn off with a smell: the kiln is vented until it ends.</summary>
internal sealed class OverglazeSmoke() : LoadRule(
    "overglaze-smoke", Reach.Load, "Kiln makers' published manuals: lustre and metallics at cone 019 to 016, vented until the smell ends",
        "the sort of each raw layer", CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var smoking = load.Where(i => load.Pieces[i].HasRaw(GlazeKind.Lustre) || load.Pieces[i].HasRaw(GlazeKind.Decal));
        if (load.Firing.Kind != FiringKind.Overglaze || smoking.Count == 0) yield break;
        yield return Say(
            load.Ids(smoking), CoFiring.Touches.Kiln, Verdict.Caution,
            $"The oil and resin in the {LustreAndDecalsAlone.Coats(load, smoking)} of {Names.Of(load.Ids(smoking))} burn off as fume that harms the people "
                + $"near. Leave the kiln open a crack and run the vent "
            + "until the smell ends, and stay out of the room.",
            []).Told;
    }
}
