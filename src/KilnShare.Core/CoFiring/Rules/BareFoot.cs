using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>
/// The more a glaze moves, the thicker it is and the steeper the wall, the higher the foot is kept free of it; what runs stands on a catcher.
/// </summary>
internal sealed class BareFoot() : PieceRule(
    "bare-foot", "Kiln makers' published manuals and common practice: 2 to 3 mm for a stable glaze, 6 usual, 20 for a doubtful one; runny or unknown on a "
        + "catcher; half as much again for thick coats, for two glazes over each other and for steep walls: common practice, no source",
    "how each layer that melts moves, and the bare foot", CoFiring.Touches.Kiln)
{
    private const decimal StableMm = 2m;
    private const decimal UsualMm = 6m;
    private const decimal DoubtfulMm = 20m;
    private const decimal MoreForEach = 0.5m;

    /// <summary>Brushed glaze is usually two to four coats (common practice, no source).</summary>
    private const int UsualCoats = 4;

    internal override bool YieldsToEvidence => true;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (ware.OnCatcher == true || MeltingOn(load.Firing, ware) is not { Count: > 0 } melting) yield break;
        var loosest = melting.MaxBy(Rank)!;
        var more = Aggravations(ware, melting);
        if (ware.OnStilts == true && loosest.Glaze.Movement is Movement.Stable or Movement.Moves && more.Length == 0) yield break;
        var share = 1m + (MoreForEach * more.Length);
        var needs = Needs(loosest.Glaze.Movement) * share;
        if (ware.BareFootMm >= needs || (ware.BareFootMm is null && loosest.Glaze.Movement == Movement.Stable && more.Length == 0)) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Judge(loosest.Glaze.Movement, ware.BareFootMm, UsualMm * share),
            $"{loosest.Glaze.Name} {InWords(loosest.Glaze.Movement)}{(more.Length == 0 ? "" : $", the more so for {string.Join(" and ", more)}")}, and "
                + $"{Bare(ware)}; {needs:0.#} mm are wanted. "
            + "It can stick to the shelf: wipe the foot higher, or stand the piece on a catcher wider than its foot.",
            [Cure.To(CureChange.Catcher, ware), Cure.To(CureChange.BareFoot, ware, needs)],
            ("glaze", loosest.Glaze.Name), ("movement", loosest.Glaze.Movement), ("bareFootMm", ware.BareFootMm), ("neededMm", needs), ("coats", loosest.Coats),
                ("aggravations", more));
    }

    private static List<Layer> MeltingOn(FiringPlan firing, Ware ware) =>
        [.. ware.Layers.Where(layer => layer.Glaze.Kind == GlazeKind.Glaze && !layer.IsInsideOnly && CoFiring.Melting.Melts(firing, layer))];

    private static string[] Aggravations(Ware ware, List<Layer> melting) =>
    [
        .. melting.Exists(layer => layer.Coats > UsualCoats) ? ["its thick coats"] : Array.Empty<string>(),
        .. melting.Count > 1 ? ["two glazes over each other"] : Array.Empty<string>(),
        .. ware.Steep == true ? ["steep walls"] : Array.Empty<string>(),
    ];

    // What is not known may run, yet what is known to run is the plainer thing to say.
    private static int Rank(Layer layer) => layer.Glaze.Movement switch { Movement.Stable => 0, Movement.Moves => 1, null => 2, _ => 3 };

    private static decimal Needs(Movement? movement) => movement switch
    {
        Movement.Stable => StableMm,
        Movement.Moves => UsualMm,
        _ => DoubtfulMm,
    };

    private static Verdict Judge(Movement? movement, decimal? bareMm, decimal leastForRunnyMm) => movement switch
    {
        _ when bareMm == 0m => Verdict.Incompatible,
        Movement.Runs when bareMm < leastForRunnyMm => Verdict.Incompatible,
        null => Verdict.Unknown,
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
