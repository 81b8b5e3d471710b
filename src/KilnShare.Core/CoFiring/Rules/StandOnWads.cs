using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Salt, soda and wood ash glaze whatever they reach, bare feet and shelves too: ware stands on wads.</summary>
internal sealed class StandOnWads() : LoadRule(
    "stand-on-wads", Reach.Load, "Common practice, no source: ware and lids on wads of alumina and kaolin in salt, soda and wood",
        "the atmosphere of the firing", CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        if (load.Firing.Atmosphere is not (Atmosphere.SaltSoda or Atmosphere.Wood) || !load.Firing.Matures) yield break;
        yield return Say(
            [.. load.Pieces.Select(piece => piece.Id)], CoFiring.Touches.Kiln, Verdict.Caution,
            $"In {Atmospheres.InWords(load.Firing.Atmosphere)} bare contacts fuse: stand every piece and every lid on wads of alumina and kaolin, and wash "
                + $"the shelves.",
            [], ("firingAtmosphere", load.Firing.Atmosphere)).Told;
    }
}
