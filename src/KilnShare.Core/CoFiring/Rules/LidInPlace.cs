using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A lid fired on its jar keeps its shape with it, and welds to it where glaze reaches the seat.</summary>
internal sealed class LidInPlace() : PieceRule(
    "lid-in-place", "Common practice, no source: seat and lid bare where they meet, with alumina between them", "where the lid is, and where each layer is",
        CoFiring.Touches.Self)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (ware.Lid != Lid.InPlace || load.Firing.Kind == FiringKind.Bisque) yield break;
        var glazed = ware.Layers.FirstOrDefault(
            layer => layer.Glaze.Kind == GlazeKind.Glaze && Melting.Melts(load.Firing, layer) && !layer.IsInsideOnly && !layer.IsOutsideOnly);
        var finding = Say(
            [ware.Id], CoFiring.Touches.Self, Verdict.Caution,
            glazed is null
                ? "Its lid is fired in place: keep the seat and the lid's rim bare, with a little alumina between them."
                : $"Its lid is fired in place, and {glazed.Glaze.Name} may reach the seat: there it welds the lid on. Wipe seat and rim bare and put alumina "
                    + $"between them, or fire the lid apart.",
            glazed is null ? [] : [Cure.To(CureChange.LidApart, ware)], ("glaze", glazed?.Glaze.Name));
        yield return glazed is null ? finding.Told : finding;
    }
}
