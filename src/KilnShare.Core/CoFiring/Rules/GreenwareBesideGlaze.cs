using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Glazed ware goes with greenware only in a programme that starts like a bisque, and then with care.</summary>
internal sealed class GreenwareBesideGlaze() : LoadRule(
    "greenware-beside-glazed-ware", Reach.Pair,
        "Common practice, no source: greenware gives off water and gas until about 700 °C, over its neighbours' raw glaze",
    "the stage of the ware and its raw layers", CoFiring.Touches.Others)
{
    public override IEnumerable<Finding> Look(CheckedLoad load)
    {
        if (!load.Firing.StartsSlowly) yield break;
        var (green, glazed) = Pairs.Between(
            load.Where(i => load.Pieces[i].Stage == Stage.Greenware),
            load.Where(i => load.Pieces[i].Stage != Stage.Greenware && load.Pieces[i].HasRaw(GlazeKind.Glaze)));
        if (green.Count == 0) yield break;
        string[] giving = load.Ids(green), taking = load.Ids(glazed);
        yield return Say(
            [.. giving, .. taking], CoFiring.Touches.Others, Verdict.Caution,
            $"Greenware ({Names.Of(giving)}) gives off water and gas up to about 700 °C (1292 °F), over the raw glaze of {Names.Of(taking)}. "
            + "Keep to the slow start, vent, and let nothing touch the glazed ware.",
            [], ("greenware", giving), ("glazed", taking)) with
        { Asks = load.AsksBetween(green, glazed) };
    }
}
