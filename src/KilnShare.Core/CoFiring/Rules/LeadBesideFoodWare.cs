using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Lead leaves a hot glaze as vapour and settles on whatever stands near: never with ware for food.</summary>
internal sealed class LeadBesideFoodWare() : LoadRule(
    "lead-beside-food-ware", Reach.Pair, "Kiln makers' published manuals: leaded ware is never fired with ware for food",
    "what is in clays and layers, fired ones too, and which ware is for food", CoFiring.Touches.Others)
{
    public override (List<int> Givers, List<int> Takers)? Forbids(CheckedLoad load) => Pairs.Between(
        load.Where(i => MaterialContents.Holds(load.Pieces[i], Substance.Lead)), load.Where(i => load.Pieces[i].IsForFood));

    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        var (lead, food) = Forbids(load)!.Value;
        if (lead.Count == 0) yield break;
        string[] leaded = load.Ids(lead), eaten = load.Ids(food);
        yield return Say(
            [.. leaded.Union(eaten, StringComparer.Ordinal)], CoFiring.Touches.Others, Verdict.Incompatible,
            $"Lead in {Names.Of(leaded)} turns to vapour and settles on ware for food: {Names.Of(eaten)}. "
            + "Fire the leaded ware in a firing without food ware, vented, and keep its shelves apart; follow your local rules on lead.",
            [Cure.Elsewhere(leaded, load.Firing.Kind, load.Firing.Cone, load.Firing.Atmosphere)], ("leaded", leaded), ("forFood", eaten));
    }
}
