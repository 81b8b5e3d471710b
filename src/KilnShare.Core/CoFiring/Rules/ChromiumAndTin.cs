using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Chromium vapour turns tin glazes pink, even from shelf to shelf.</summary>
internal sealed class ChromiumAndTin() : LoadRule(
    "chromium-and-tin", Reach.Pair, "Published glaze literature: chromium fumes turn tin-white glazes pink, across shelves too",
    "what is in clays and in layers that are raw or melt again", CoFiring.Touches.Others)
{
    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var (stated, white) = (load.Where(i => load.AtWork(i).Has(Substance.Chromium)), load.Where(i => load.AtWork(i).Has(Substance.Tin)));
        var (chromium, tin) = Pairs.Between(stated, white);
        if (NotListed(load, white) is { } unknown) yield return unknown;
        if (chromium.Count == 0) yield break;
        string[] givers = load.Ids(chromium), takers = load.Ids(tin);
        yield return Say(
            [.. givers.Union(takers, StringComparer.Ordinal)], CoFiring.Touches.Others, Verdict.Caution,
            $"Chromium in {Names.Of(givers)} leaves as vapour and turns tin-white glazes pink, even from shelf to shelf: {Names.Of(takers)}. "
            + "Fire them apart, or agree that the white may blush; vent the kiln.",
            [Cure.Elsewhere(givers, load.Firing.Kind, load.Firing.Cone, load.Firing.Atmosphere)], ("chromium", givers), ("tin", takers), ("reach", "kiln")) with
        { Asks = load.AsksBetween(chromium, tin) };
    }

    // A silent list matters beside ware that is stated to be spoilt: tin white.
    private Finding? NotListed(CheckedLoad load, List<int> white)
    {
        var (silent, tin) = Pairs.Between(load.Where(i => load.AtWork(i) is { MayHoldMore: true } at && !at.Has(Substance.Tin)), white);
        if (silent.Count == 0) return null;
        string[] givers = load.Ids(silent), takers = load.Ids(tin);
        return Say(
            [.. givers, .. takers], CoFiring.Touches.Others, Verdict.Unknown,
            $"What is in the glaze of {Names.Of(givers)} is not listed; if it holds chromium, tin-white glazes blush pink, even from shelf to shelf: "
                + $"{Names.Of(takers)}. "
            + "List what it contains, or fire them apart.",
            [Cure.Elsewhere(givers, load.Firing.Kind, load.Firing.Cone, load.Firing.Atmosphere)], ("unlisted", givers), ("tin", takers)) with
        { Asks = load.AsksBetween(silent, tin) };
    }
}
