using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Substances that must not be under food unless a laboratory has measured what is given off.</summary>
internal sealed class HazardOnFoodWare() : PieceRule(
    "hazard-on-food-ware", "FDA CPG 545.400/450 and EU 84/500/EEC for lead and cadmium; the others from memory: no food surface unless tested",
    "what is in each layer, where it is, and a laboratory's figures", CoFiring.Touches.Use)
{
    private const decimal ManganeseFromPercent = 5m;

    private static readonly Substance[] Anywhere = [Substance.Lead, Substance.Cadmium];

    private static readonly Substance[] Inside = [Substance.Selenium, Substance.Manganese, Substance.Barium, Substance.Vanadium, Substance.Lithium];

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (!ware.IsForFood || !load.Firing.FinishesSurface) yield break;
        foreach (var layer in ware.Layers)
        {
            var found = Found(layer, ware.Release);
            if (found.Length == 0) continue;
            yield return Say(
                [ware.Id], CoFiring.Touches.Use, Verdict.Incompatible,
                $"{layer.Glaze.Name} contains {Names.Of(found)} and is on ware for food, with no laboratory figure of what it gives off. "
                + "Give the piece another use, glaze the food side with something else, or have it measured first.",
                [Cure.To(CureChange.NotForFood, ware)], ("glaze", layer.Glaze.Name), ("substances", found));
        }
    }

    private static string[] Found(Layer layer, ReleaseReport? report)
    {
        var contents = layer.Glaze.Contains;
        if (contents is null || contents.Count == 0) return [];
        var watched = layer.IsOutsideOnly ? Anywhere : Anywhere.Concat(Inside);
        return [.. watched.Where(what => !IsMeasured(report, what) && Counts(MaterialContents.Find(contents, what))).Select(what => Names.Camel(what))];
    }

    private static bool IsMeasured(ReleaseReport? report, Substance what) => what switch
    {
        Substance.Lead => report?.Lead is not null,
        Substance.Cadmium => report?.Cadmium is not null,
        _ => report?.AlsoMeasured.Contains(what) == true,
    };

    private static bool Counts(Ingredient? found) =>
        found is not null && (found.What != Substance.Manganese || found.Percent is null || found.Percent > ManganeseFromPercent);
}
