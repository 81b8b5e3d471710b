using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Whether ware at its stage belongs into this kind of firing.</summary>
internal sealed class StageAndKind() : PieceRule(
    "stage-and-kind", "Ceramic society firing chart (2005): steam at 100 °C, combined water at 450 to 700 °C; kiln makers' published manuals",
    "the stage of the ware and the start of the programme", CoFiring.Touches.Others, CoFiring.Touches.Kiln, CoFiring.Touches.Self)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (Judge(load.Firing, ware) is not { } word) yield break;
        var finding = Say(
            [ware.Id], word.Touches, word.Verdict, word.Message, word.Cures,
            ("stage", ware.Stage), ("kind", load.Firing.Kind));
        yield return word.IsTold ? finding.Told : finding;
    }

    private static Word? Judge(FiringPlan firing, Ware ware) => ware.Stage switch
    {
        Stage.Lost => new(CoFiring.Touches.Kiln, Verdict.Incompatible, "The piece is recorded as lost: it does not go into a kiln again.", []),
        Stage.Greenware => Greenware(firing, ware),
        Stage.Bisque => Bisque(firing, ware),
        _ => Glazed(firing, ware),
    };

    private static Word? Greenware(FiringPlan firing, Ware ware)
    {
        if (!firing.StartsSlowly)
        {
            return new(
                CoFiring.Touches.Others, Verdict.Incompatible,
                "Greenware needs the slow start of a bisque, about 100 °C (212 °F) an hour or less up to 600 °C (1112 °F). "
                + "In this firing it would burst and throw shards into other people's ware: bisque it first.",
                firing.Kind == FiringKind.Glaze && ware.SingleFire == true ? [new Cure(CureChange.BisqueStart, [])] : []);
        }

        if (firing.Kind == FiringKind.Bisque)
        {
            return ware.HasRaw(GlazeKind.Glaze)
                ? Caution(CoFiring.Touches.Others,
                    "It carries raw glaze into a bisque: it must not touch or be stacked, and may stick to its neighbours. Let it stand alone, or fire it as "
                        + "single-fired ware.")
                : null;
        }

        if (firing.Kind is FiringKind.Overglaze or FiringKind.UnderglazeSet)
            return new(CoFiring.Touches.Self, Verdict.Incompatible, "Greenware does not belong into this kind of firing: bisque it first.", []);
        return ware.SingleFire switch
        {
            true => null,
            false => new(
                CoFiring.Touches.Others, Verdict.Incompatible,
                "The piece is declared not to be single-fired: bisque it first, and glaze it then.", [Cure.To(CureChange.DeclareSingleFire, ware)]),
            _ => new(
                CoFiring.Touches.Self, Verdict.Caution,
                "Nothing says that this greenware is meant to be single-fired: its glaze may crawl or blister. Declare it, or bisque it first.",
                [Cure.To(CureChange.DeclareSingleFire, ware)]),
        };
    }

    private static Word? Bisque(FiringPlan firing, Ware ware) => firing.Kind switch
    {
        FiringKind.Bisque when !AnyRaw(ware) => Caution(CoFiring.Touches.Self, "It is bisque already and gains nothing from another one."),
        FiringKind.Overglaze => Caution(
            CoFiring.Touches.Self, "Lustre, enamel and decals go on fired glaze, and this is bisque: they would sink in and stay dull. Glaze-fire it first."),
        FiringKind.UnderglazeSet when ware.HasRaw(GlazeKind.Glaze) => Caution(
            CoFiring.Touches.Self, "It carries raw glaze into a firing that only sets underglaze: the glaze would not melt through. Glaze-fire it instead."),
        FiringKind.UnderglazeSet when !AnyRaw(ware) => Caution(CoFiring.Touches.Self, "There is no raw underglaze on it to be set."),
        _ => null,
    };

    private static Word? Glazed(FiringPlan firing, Ware ware) => firing.Kind switch
    {
        FiringKind.Overglaze => ware.HasRawOverglaze ? null : Caution(CoFiring.Touches.Self, "There is no lustre, enamel or decal on it to be fired."),
        FiringKind.Glaze or FiringKind.SingleFire when ware.StandsReadyForRefire => Caution(
            CoFiring.Touches.Self, "It is a refire: heat it slowly at first, and look after firing whether it moved.") with
        {
            IsTold = true,
        },
        FiringKind.Glaze or FiringKind.SingleFire => Caution(
            CoFiring.Touches.Self, "It has been glaze-fired before: a refire heats slowly at first, and its glaze moves more and may pinhole."),
        _ => Caution(CoFiring.Touches.Self, "It has been glaze-fired already and gains nothing from this kind of firing."),
    };

    private static bool AnyRaw(Ware ware) => ware.Layers.Any(layer => layer.IsRaw);

    private static Word Caution(Touches touches, string message) => new(touches, Verdict.Caution, message, []);

    private sealed record Word(Touches Touches, Verdict Verdict, string Message, IReadOnlyList<Cure> Cures)
    {
        public bool IsTold { get; init; }
    }
}
