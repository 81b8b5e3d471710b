using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A glaze should shrink a little less than its body; figures of different methods are not compared.</summary>
internal sealed class GlazeBodyExpansion() : PieceRule(
    "glaze-body-expansion", "From memory and common practice: body less glaze 0 to 1.5 ×10⁻⁶/°C fits, 0.5 to 1.0 is the aim; below crazes, above shivers",
    "the expansion of body and glaze by the same method", CoFiring.Touches.Self, CoFiring.Touches.Others)
{
    private const decimal LeastPpmPerC = 0m;
    private const decimal MostPpmPerC = 1.5m;

    internal override bool YieldsToEvidence => true;

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        if (!load.Firing.Matures) yield break;
        var ware = load.Pieces[index];
        var notChecked = new List<string>();
        foreach (var layer in ware.Layers)
        {
            if (layer.Glaze.Kind != GlazeKind.Glaze || !Melting.Melts(load.Firing, layer)) continue;
            if (Difference(ware.Clay.Expansion, layer.Glaze.Expansion) is not { } difference) notChecked.Add(layer.Glaze.Name);
            else if (difference is < LeastPpmPerC or > MostPpmPerC) yield return Misfit(ware, layer, difference);
        }

        if (notChecked.Count > 0) yield return NotChecked(ware, notChecked);
    }

    private static decimal? Difference(Expansion? body, Expansion? glaze)
    {
        if (body?.Method is null || glaze?.Method is null) return null;
        var same = string.Equals(body.Method.Trim(), glaze.Method.Trim(), StringComparison.OrdinalIgnoreCase);
        return same ? body.PpmPerC - glaze.PpmPerC : null;
    }

    private Finding Misfit(Ware ware, Layer layer, decimal difference)
    {
        var then = !Shivers(difference)
            ? "The glaze shrinks more than the body and will craze, soon or after weeks: try a glaze of lower expansion."
            : "The glaze is squeezed so much that it may shiver off in sharp flakes: try a glaze of higher expansion, and test before use. The flakes cut, "
                + "and fall on what stands beside it.";
        return Say(
            [ware.Id], Shivers(difference) && ware.IsForFood ? CoFiring.Touches.Others : CoFiring.Touches.Self, Verdict.Caution,
            $"{ware.Clay.Name} less {layer.Glaze.Name} is {difference:0.##} ×10⁻⁶/°C; {LeastPpmPerC:0.#} to {MostPpmPerC:0.#} fits. {then}",
            [], ("glaze", layer.Glaze.Name), ("bodyMinusGlazePpmPerC", difference));
    }

    // Flakes of shivered glaze on food ware reach further than its maker.
    private static bool Shivers(decimal difference) => difference > MostPpmPerC;

    private Finding NotChecked(Ware ware, List<string> glazes) => Say(
        [ware.Id], CoFiring.Touches.Self, Verdict.Unknown,
        $"Fit not checked: {ware.Clay.Name} and {Names.Of(glazes)} have no expansion figures by the same method.", [], ("glazes", glazes.ToArray()));
}
