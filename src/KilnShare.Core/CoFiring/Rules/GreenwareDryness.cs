using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>
/// Only dry ware is fired: free water turns to steam at 100 °C and bursts the wall. Where it is known since when it dries, what counts is
/// whether it will be dry when the firing is lit.
/// </summary>
internal sealed class GreenwareDryness() : PieceRule(
    "greenware-dryness", "Ceramic society firing chart (2005): free water to steam at 100 °C",
        "how dry greenware is, or since when it dries and when the firing is lit",
    CoFiring.Touches.Others)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (ware.Stage != Stage.Greenware || ware.Dryness == Dryness.Dry) yield break;
        var had = DryingTime.HadHours(load.Firing, ware);
        var inTime = had >= DryingTime.Hours(ware);
        if (ware.Dryness is null && inTime) yield break;
        var (verdict, message) = Word(ware.Dryness, inTime ? had : null);
        yield return Say(
            [ware.Id], CoFiring.Touches.Others, verdict, message, [Cure.To(CureChange.DryFirst, ware, DryingTime.Hours(ware))],
            ("dryness", ware.Dryness), ("driedHours", had is null ? null : Math.Round(had.Value, 1)));
    }

    private static (Verdict Verdict, string Message) Word(Dryness? dryness, decimal? hadHours) => (dryness, hadHours) switch
    {
        (null, _) => (
            Verdict.Unknown,
            "How dry it is has not been said. Damp ware bursts at 100 °C (212 °F), over other people's ware: say so once it no longer feels cold "
                + "to the cheek."),
        (_, { } hours) => (
            Verdict.Caution,
            $"It was {InWords(dryness.Value)} when this was written down and will have dried {hours:0} h when the firing is lit. Damp ware bursts at 100 "
                + $"°C (212 °F): "
            + "say so once it no longer feels cold to the cheek, or leave it out."),
        _ => (
            Verdict.Incompatible,
            $"It is {InWords(dryness.Value)}. Its water turns to steam at 100 °C (212 °F) and bursts it over other people's ware: let it dry through first."),
    };

    private static string InWords(Dryness dryness) => dryness == Dryness.Wet ? "still wet" : "only leather-hard";
}
