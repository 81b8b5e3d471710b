using KilnShare.Core.Cones;


namespace KilnShare.Core.CoFiring.Rules;

/// <summary>
/// A layer of which neither list nor label says what is in it may hold lead. That is a matter of low fire: beside food ware it asks where the layer's
/// range ends low, or is not known, and is told otherwise.
/// </summary>
internal sealed class UnlistedBesideFoodWare() : LoadRule(
    "unlisted-glaze-beside-food-ware", Reach.Pair, "What is not known is unknown; see lead-beside-food-ware; that lead glazes are low-fire is from memory",
    "what is in layers that are raw or melt again, and which ware is for food", CoFiring.Touches.Others)
{
    private static readonly Cone LowFireTo = Cone.Parse("02");

    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var (unlisted, food) = Pairs.Between(load.Where(i => Silent(load, i).Any()), load.Where(i => load.Pieces[i].IsForFood));
        if (unlisted.Count == 0) yield break;
        var mayBeLeaded = unlisted.Exists(i => Silent(load, i).Any(layer => layer.Glaze.Cones is null || layer.Glaze.Cones.To <= LowFireTo));
        string[] givers = load.Ids(unlisted), eaten = load.Ids(food);
        var finding = Say(
            [.. givers.Union(eaten, StringComparer.Ordinal)], CoFiring.Touches.Others, Verdict.Unknown,
            $"What is in the glaze of {Names.Of(givers)} is not listed, so lead beside ware for food ({Names.Of(eaten)}) cannot be ruled out. "
            + "List what it contains, say that its label calls it lead-free, or fire them apart.",
            [Cure.Elsewhere(givers, load.Firing.Kind, load.Firing.Cone, load.Firing.Atmosphere)], ("unlisted", givers), ("forFood", eaten));
        yield return mayBeLeaded ? finding : finding.Told;
    }

    private static IEnumerable<Layer> Silent(CheckedLoad load, int piece) => load.Pieces[piece].Layers
        .Where(layer => layer.Glaze.Contains is null && layer.Glaze.LeadFreeByLabel != true && Melting.Melts(load.Firing, layer));
}
