namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A studio may permit only certain glazes.</summary>
internal sealed class HouseGlaze() : PieceRule("house-glaze", "The studio's own rules", "the glazes the studio permits", CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (load.Firing.HouseRules?.PermittedGlazes is not { } permitted || ware.OutsideMaterial == true) yield break;
        foreach (var layer in ware.Layers)
        {
            if (!layer.IsRaw || permitted.Contains(layer.Glaze.Name, StringComparer.OrdinalIgnoreCase)) continue;
            yield return Say(
                [ware.Id], CoFiring.Touches.Kiln, Verdict.Incompatible,
                $"{layer.Glaze.Name} is not among the glazes this studio permits ({Names.Of(permitted)}). Declare it as material from outside, or ask a "
                    + $"technician.",
                [], ("glaze", layer.Glaze.Name));
        }
    }
}
