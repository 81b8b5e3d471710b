using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Greenware that is called dry but has had too little time for its wall may still be damp inside.</summary>
internal sealed class DryingTime() : PieceRule(
    "drying-time", "Common practice, no source: two days at the least, more for thick walls; here a day more for every 3 mm above 6 mm",
    "since when it dries, its wall, when the firing is lit", CoFiring.Touches.Others)
{
    private const decimal LeastHours = 48m;
    private const decimal ThinWallMm = 6m;
    private const decimal HoursPerMmAbove = 8m;
    private const decimal UsualWallMm = 12m;

    /// <summary>Hours of drying that a wall should have.</summary>
    /// <remarks>
    /// Source: common practice, no source. Units: hours. Valid for: ware drying in the open in a room; walls to about 50 mm.
    /// Accuracy: a rule of thumb; damp rooms take longer.
    /// </remarks>
    public static decimal Hours(Ware ware) => LeastHours + (Math.Max(0m, (ware.WallMm ?? ThinWallMm) - ThinWallMm) * HoursPerMmAbove);

    /// <summary>Hours of drying it will have had when the firing is lit; null where one of the two instants is not known.</summary>
    public static decimal? HadHours(FiringPlan firing, Ware ware) =>
        firing.At is { } lit && ware.DrySince is { } since ? (decimal)(lit - since).TotalHours : null;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (ware.Stage != Stage.Greenware || ware.Dryness is Dryness.Wet or Dryness.LeatherHard) yield break;
        if (HadHours(load.Firing, ware) is not { } had || had >= Hours(ware)) yield break;
        var needs = Hours(ware);
        var finding = Say(
            [ware.Id], CoFiring.Touches.Others, Verdict.Caution,
            $"It will have dried {Math.Max(0m, had):0} h when the firing is lit; a wall of {ware.WallMm ?? ThinWallMm:0.#} mm should have {needs:0} h. "
            + "Let it dry longer, or hold the kiln at 80 to 95 °C (176 to 203 °F) for some hours before going on.",
            [Cure.To(CureChange.DryFirst, ware, needs)], ("driedHours", Math.Round(had, 1)), ("neededHours", needs), ("wallMm", ware.WallMm));
        yield return ware.WallMm <= UsualWallMm && load.DriesInTheKiln(ware) ? finding.Told : finding;
    }
}
