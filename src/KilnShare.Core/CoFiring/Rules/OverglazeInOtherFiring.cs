using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Lustre, enamel and decals are fired low, in a firing of their own; hotter they burn off as fume.</summary>
internal sealed class OverglazeInOtherFiring() : PieceRule(
    "overglaze-in-other-firing",
        "Kiln makers' published manuals: enamel at cone 017 to 016, lustre at 019 to 016, vented, alone; decals at 020 to 016 from memory",
    "the sort of each raw layer", CoFiring.Touches.Others)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (load.Firing.Kind == FiringKind.Overglaze || !ware.HasRawOverglaze) yield break;
        var layers = ware.Layers.Where(layer => layer.IsRaw && layer.Glaze.Kind is GlazeKind.Lustre or GlazeKind.Enamel or GlazeKind.Decal);
        var names = layers.Select(layer => layer.Glaze.Name).Distinct(StringComparer.Ordinal).ToArray();
        yield return Say(
            [ware.Id], CoFiring.Touches.Others, Verdict.Incompatible,
            $"{Names.Of(names)} {(names.Length == 1 ? "belongs" : "belong")} into an overglaze firing, about cone 020 to 016 (626 to 772 °C, 1159 to 1422 "
                + $"°F at 60 °C/h). "
            + (names.Length == 1
                ? "Here it would burn off, and its fume would mark other people's ware: glaze-fire first, put it on then."
                : "Here they would burn off, and their fume would mark other people's ware: glaze-fire first, put them on then."),
            [], ("layers", names), ("kind", load.Firing.Kind));
    }
}
