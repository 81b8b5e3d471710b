using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Only dry ware is fired: free water turns to steam at 100 °C and bursts the wall.</summary>
internal sealed class GreenwareDryness() : PieceRule(
    "greenware-dryness", "Ceramic society firing chart (2005): free water to steam at 100 °C", "how dry greenware is", CoFiring.Touches.Others)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (ware.Stage != Stage.Greenware || ware.Dryness == Dryness.Dry) yield break;
        var (verdict, message) = ware.Dryness is { } dryness
            ? (Verdict.Incompatible, $"It is {InWords(dryness)}. Its water turns to steam at 100 °C (212 °F) and bursts it over other people's ware: let it dry through first.")
            : (Verdict.Unknown, "How dry it is has not been said. Damp ware bursts at 100 °C (212 °F), over other people's ware: say so once it no longer feels cold to the cheek.");
        yield return Say(
            [ware.Id], CoFiring.Touches.Others, verdict, message, [Cure.To(CureChange.DryFirst, ware, DryingTime.Hours(ware))],
            ("dryness", ware.Dryness));
    }

    private static string InWords(Dryness dryness) => dryness == Dryness.Wet ? "still wet" : "only leather-hard";
}
