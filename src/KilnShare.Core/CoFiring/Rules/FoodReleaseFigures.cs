using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Sets a laboratory's figures beside the published limits; it declares nothing.</summary>
internal sealed class FoodReleaseFigures() : PieceRule(
    "food-release-figures", "EU 84/500/EEC; FDA CPG 545.400/450", "a laboratory's release figures, their unit and the category of ware", CoFiring.Touches.Use)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (!ware.IsForFood || !load.Firing.FinishesSurface || ware.Release is not { } report) yield break;
        var limits = ReleaseLimits.For(report.Category).Where(limit => limit.Unit == report.Unit).ToArray();
        var over = limits.Where(limit => !limit.IsKeptBy(report)).ToArray();
        var (verdict, message) = Word(report, limits, over);
        yield return Say(
            [ware.Id], CoFiring.Touches.Use, verdict, message, verdict == Verdict.Incompatible ? [Cure.To(CureChange.NotForFood, ware)] : [],
            ("category", report.Category), ("unit", report.Unit), ("lead", report.Lead), ("cadmium", report.Cadmium),
            ("compared", limits.Select(limit => limit.Of).ToArray()), ("over", over.Select(limit => limit.Of).ToArray()), ("reference", report.Reference)).Told;
    }

    private static (Verdict Verdict, string Message) Word(ReleaseReport report, ReleaseLimit[] limits, ReleaseLimit[] over)
    {
        var figures = $"The laboratory's figures (lead {Figure(report.Lead, report)}, cadmium {Figure(report.Cadmium, report)})";
        if (over.Length > 0)
            return (Verdict.Incompatible,
                $"{figures} are over {string.Join(" and over ", over.Select(InWords))}. Give the piece another use, and change the glaze.");
        if (limits.Length == 0)
            return (Verdict.Unknown, $"{figures} are in a unit that no limit for this category is in: ask the laboratory for the other one.");
        if (report.Lead is null || report.Cadmium is null)
            return (Verdict.Unknown, $"{figures} leave one of the two unmeasured: have both measured.");
        return (Verdict.Caution, $"{figures} are within {string.Join(" and ", limits.Select(InWords))}. "
            + "They hold for ware of that clay, glaze and firing only; your local rules decide.");
    }

    private static string Figure(decimal? figure, ReleaseReport report) => figure is { } value ? $"{value} {Unit(report.Unit)}" : "not measured";

    private static string InWords(ReleaseLimit limit) => $"{limit.Of} (lead {limit.Lead}, cadmium {limit.Cadmium} {Unit(limit.Unit)})";

    private static string Unit(ReleaseUnit unit) => unit == ReleaseUnit.MgPerLitre ? "mg/L" : "mg/dm²";
}
