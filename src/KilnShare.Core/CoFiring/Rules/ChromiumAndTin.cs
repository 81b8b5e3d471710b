using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Chromium vapour turns tin glazes pink, even from shelf to shelf.</summary>
internal sealed class ChromiumAndTin() : LoadRule(
    "chromium-and-tin", Reach.Pair, "Published glaze literature: chromium fumes turn tin-white glazes pink, across shelves too",
    "what is in clays and in layers that are raw or melt again", CoFiring.Touches.Others)
{
    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var (chromium, tin) = Pairs.Between(
            load.Where(i => load.AtWork(i).Has(Substance.Chromium)), load.Where(i => load.AtWork(i).Has(Substance.Tin)));
        if (chromium.Count == 0) yield break;
        string[] givers = load.Ids(chromium), takers = load.Ids(tin);
        yield return Say(
            [.. givers.Union(takers, StringComparer.Ordinal)], CoFiring.Touches.Others, Verdict.Caution,
            $"Chromium in {Names.Of(givers)} leaves as vapour and turns tin-white glazes pink, even from shelf to shelf: {Names.Of(takers)}. "
            + "Fire them apart, or agree that the white may blush; vent the kiln.",
            [Cure.Elsewhere(givers, load.Firing.Kind, load.Firing.Cone, load.Firing.Atmosphere)], ("chromium", givers), ("tin", takers), ("reach", "kiln"));
    }
}
