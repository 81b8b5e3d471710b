using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Cadmium held in an encapsulated stain stays put, free cadmium does not: which it is only a technician can find out.</summary>
internal sealed class CadmiumBesideFoodWare() : LoadRule(
    "cadmium-beside-food-ware", Reach.Pair, "From memory: cadmium and selenium fume; encapsulated stains are common practice",
    "what is in clays and in layers that are raw or melt again, and which ware is for food", CoFiring.Touches.Others)
{
    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var (cadmium, food) = Pairs.Between(
            load.Where(i => load.AtWork(i).Has(Substance.Cadmium)), load.Where(i => load.Pieces[i].IsForFood));
        if (cadmium.Count == 0) yield break;
        string[] givers = load.Ids(cadmium), eaten = load.Ids(food);
        yield return Say(
            [.. givers.Union(eaten, StringComparer.Ordinal)], CoFiring.Touches.Others, Verdict.Unknown,
            $"Cadmium in {Names.Of(givers)} can leave as fume and reach ware for food: {Names.Of(eaten)}. "
            + "An encapsulated stain holds it, free cadmium does not: a technician should read the maker's sheet, or fire them apart, vented.",
            [Cure.Elsewhere(givers, load.Firing.Kind, load.Firing.Cone, load.Firing.Atmosphere)], ("cadmium", givers), ("forFood", eaten));
    }
}
