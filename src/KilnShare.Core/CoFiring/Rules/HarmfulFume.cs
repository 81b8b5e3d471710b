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
        if (!Array.Exists(Fuming, load.AtWork(index).Has)) yield break;
        var ware = load.Pieces[index];
        var found = Fuming.Where(load.AtWork(index).Has).Select(what => new Ingredient(what, MostPercent(load.Firing, ware, what))).Where(IsMuch).ToArray();
        if (found.Length == 0) yield break;
        // An instruction to whoever lights the kiln: it is told.
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Verdict.Caution,
            $"It contains {Names.Of([.. found.Select(InWords)])}, which can leave the kiln as fume that harms the people near. "
            + "Run the vent through the whole firing, stay out of the room, and follow your local rules and the maker's data sheet.",
            [], ("substances", found.Select(one => Names.Camel(one.What)).ToArray()), ("percents", found.Select(one => one.Percent).ToArray())).Told;
    }

    private static bool IsMuch(Ingredient found) => found.What != Substance.Manganese || found.Percent is null || found.Percent > ManganeseFromPercent;

    private static string InWords(Ingredient found) =>
        found.Percent is { } percent ? $"{Names.Camel(found.What)} ({percent:0.##} %)" : $"{Names.Camel(found.What)} (how much is not known)";

    // Null as soon as one of them says nothing of how much.
    private static decimal? MostPercent(FiringPlan firing, Ware ware, Substance what) => ware.Layers
        .Where(layer => Melting.Melts(firing, layer)).Select(layer => layer.Glaze.Contains).Prepend(ware.Clay.Contains)
        .Select(contents => MaterialContents.Find(contents, what)).OfType<Ingredient>()
        .Aggregate((decimal?)0m, (most, found) => most is null || found.Percent is null ? null : Math.Max(most.Value, found.Percent.Value));
}
