using KilnShare.Core.Cones;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Copper vapour colours what stands next to it, mainly in reduction and in high firings.</summary>
internal sealed class CopperFlashing() : LoadRule(
    "copper-flashing", Reach.Pair, "From memory: copper flashes its neighbours, mainly in reduction and above about cone 8",
    "what is in layers that are raw or melt again", CoFiring.Touches.Others)
{
    private static readonly Cone QuietTo = Cone.Parse("8");

    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var airy = load.Firing.Atmosphere is Atmosphere.Oxidation or Atmosphere.Neutral;
        if (airy && load.Firing.Cone <= QuietTo) yield break;
        var (copper, plain) = Pairs.Between(
            load.Where(i => load.AtWork(i).Has(Substance.Copper)),
            load.Where(i => !load.AtWork(i).Has(Substance.Copper) && load.Pieces[i].HasRaw(GlazeKind.Glaze)));
        if (copper.Count == 0) yield break;
        string[] givers = load.Ids(copper), takers = load.Ids(plain);
        yield return Say(
            [.. givers, .. takers], CoFiring.Touches.Others, Verdict.Caution,
            $"Copper in {Names.Of(givers)} can flash green or red onto the ware next to it at {load.ConeInWords} in "
            + $"{Atmospheres.InWords(load.Firing.Atmosphere)}. Keep pale glazes on other shelves or well away, or fire apart: {Names.Of(takers)}.",
            [Cure.Elsewhere(givers, load.Firing.Kind, load.Firing.Cone, load.Firing.Atmosphere)],
            ("copper", givers), ("beside", takers), ("reach", "neighbours")) with
        { Asks = load.AsksBetween(copper, plain) };
    }
}
