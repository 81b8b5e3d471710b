using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Some substances leave the kiln as fume: it runs vented, and nobody stays beside it.</summary>
internal sealed class HarmfulFume() : PieceRule(
    "harmful-fume", "From memory: manganese over about 5 to 10 %, cadmium and selenium, barium, vanadium; lead from kiln makers' published manuals",
    "what is in clay and layers at work, and how much of it", CoFiring.Touches.Kiln)
{
    private const decimal ManganeseFromPercent = 5m;

    private static readonly Substance[] Fuming =
        [Substance.Lead, Substance.Cadmium, Substance.Selenium, Substance.Manganese, Substance.Barium, Substance.Vanadium];

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        var atWork = load.AtWork(index);
        if (!Array.Exists(Fuming, atWork.Has)) yield break;
        var found = Fuming.Where(atWork.Has).Where(what => what != Substance.Manganese || IsMuch(load.Firing, ware)).Select(what => what.ToString()).ToArray();
        if (found.Length == 0) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Verdict.Caution,
            $"{Names.Of(found)} in it can leave the kiln as fume that harms the people near. Run the vent through the whole firing, stay out of the room, "
            + "and follow your local rules and the maker's data sheet.",
            [], ("substances", found), ("manganesePercent", Percent(load.Firing, ware)));
    }

    private static bool IsMuch(FiringPlan firing, Ware ware) => Percent(firing, ware) is not { } percent || percent > ManganeseFromPercent;

    private static decimal? Percent(FiringPlan firing, Ware ware) => Contents(firing, ware)
        .Select(contents => MaterialContents.Find(contents, Substance.Manganese)).OfType<Ingredient>()
        .Aggregate((decimal?)0m, (most, found) => most is null || found.Percent is null ? null : Math.Max(most.Value, found.Percent.Value));

    private static IEnumerable<IReadOnlyList<Ingredient>?> Contents(FiringPlan firing, Ware ware) =>
        ware.Layers.Where(layer => Melting.Melts(firing, layer)).Select(layer => layer.Glaze.Contains).Prepend(ware.Clay.Contains);
}
