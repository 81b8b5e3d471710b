namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A body that still drinks water holds it under the glaze, where food ware should not.</summary>
internal sealed class AbsorptionForFood() : PieceRule(
    "absorption-for-food", "ASTM C373 for the measurement; classes of ANSI A137.1: impervious to 0.5 %, vitreous to 3, semi-vitreous to 7, above non-vitreous",
    "the absorption of the body once mature", CoFiring.Touches.Use)
{
    private const decimal VitreousToPercent = 3m;
    private const decimal SemiVitreousToPercent = 7m;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (!ware.IsForFood || !load.Firing.Matures) yield break;
        var absorption = IsMatured(load, index) ? ware.Clay.AbsorptionPercent : null;
        if (absorption <= VitreousToPercent) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Use, absorption is null ? Verdict.Unknown : Verdict.Caution, Word(ware, absorption),
            [Cure.To(CureChange.NotForFood, ware)], ("absorptionPercent", absorption), ("class", absorption is null ? null : ClassOf(absorption.Value)));
    }

    private static bool IsMatured(CheckedLoad load, int index) =>
        load.BodyRange(index) is { } range && load.Firing.Cone >= range.From;

    private static string Word(Ware ware, decimal? absorption) => absorption is { } percent
        ? $"{ware.Clay.Name} still takes up {percent:0.#} % water when mature ({ClassOf(percent)}). On food ware it seeps, grows hot in a microwave and "
            + $"crazes later: "
          + "glaze it all over with a glaze that fits, or choose a denser body."
        : $"How much water {ware.Clay.Name} takes up after this firing is not known. Weigh a piece dry and after boiling (A = 100 (M − D) / D); "
          + "up to 3 % counts as vitreous.";

    private static string ClassOf(decimal percent) => percent switch
    {
        <= 0.5m => "impervious",
        <= VitreousToPercent => "vitreous",
        <= SemiVitreousToPercent => "semi-vitreous",
        _ => "non-vitreous",
    };
}
