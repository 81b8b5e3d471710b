using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>The more a glaze moves, the higher the foot is kept free of it; what runs stands on a catcher.</summary>
internal sealed class BareFoot() : PieceRule(
    "bare-foot", "Kiln makers' published manuals and common practice: 2 to 3 mm for a stable glaze, 6 usual, 20 for a doubtful one; runny or unknown on a catcher",
    "how each layer that melts moves, and the bare foot", CoFiring.Touches.Kiln)
{
    private const decimal StableMm = 2m;
    private const decimal UsualMm = 6m;
    private const decimal DoubtfulMm = 20m;

    internal override bool YieldsToEvidence => true;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (ware.OnCatcher == true || ware.OnStilts == true || Loosest(load.Firing, ware) is not { } loosest) yield break;
        var needs = Needs(loosest.Glaze.Movement);
        if (ware.BareFootMm >= needs || (ware.BareFootMm is null && loosest.Glaze.Movement == Movement.Stable)) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Judge(loosest.Glaze.Movement, ware.BareFootMm),
            $"{loosest.Glaze.Name} {InWords(loosest.Glaze.Movement)}, and {Bare(ware)}; {needs:0} mm are wanted. "
            + "It can stick to the shelf: wipe the foot higher, or stand the piece on a catcher wider than its foot.",
            [Cure.To(CureChange.Catcher, ware), Cure.To(CureChange.BareFoot, ware, needs)],
            ("glaze", loosest.Glaze.Name), ("movement", loosest.Glaze.Movement), ("bareFootMm", ware.BareFootMm), ("neededMm", needs));
    }

    private static Layer? Loosest(FiringPlan firing, Ware ware)
    {
        Layer? loosest = null;
        foreach (var layer in ware.Layers)
        {
            if (layer.Glaze.Kind != GlazeKind.Glaze || layer.IsInsideOnly || !Melting.Melts(firing, layer)) continue;
            if (loosest is null || Rank(layer) > Rank(loosest)) loosest = layer;
        }
        return loosest;
    }

    // What is not known may run, yet what is known to run is the plainer thing to say.
    private static int Rank(Layer layer) => layer.Glaze.Movement switch { Movement.Stable => 0, Movement.Moves => 1, null => 2, _ => 3 };

    private static decimal Needs(Movement? movement) => movement switch
    {
        Movement.Stable => StableMm,
        Movement.Moves => UsualMm,
        _ => DoubtfulMm,
    };

    private static Verdict Judge(Movement? movement, decimal? bareMm) => (movement, bareMm) switch
    {
        (_, 0m) => Verdict.Incompatible,
        (Movement.Runs, < UsualMm) => Verdict.Incompatible,
        (null, _) => Verdict.Unknown,
        _ => Verdict.Caution,
    };

    private static string InWords(Movement? movement) => movement switch
    {
        Movement.Stable => "stays where it is put",
        Movement.Moves => "moves",
        Movement.Runs => "runs",
        _ => "may run (how it moves is not known)",
    };

    private static string Bare(Ware ware) => ware.BareFootMm is { } bare ? $"{bare:0.#} mm of the foot are bare" : "how much of the foot is bare is not known";
}
