namespace KilnShare.Core.CoFiring.Rules;

/// <summary>A studio may permit only certain clays.</summary>
internal sealed class HouseClay() : PieceRule("house-clay", "The studio's own rules", "the clays the studio permits", CoFiring.Touches.Kiln)
{
    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        if (load.Firing.HouseRules?.PermittedClays is not { } permitted || ware.OutsideMaterial == true) yield break;
        if (permitted.Contains(ware.Clay.Name, StringComparer.OrdinalIgnoreCase)) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Kiln, Verdict.Incompatible,
            $"{ware.Clay.Name} is not among the clays this studio permits ({Names.Of(permitted)}). Declare it as material from outside, or ask a technician.",
            [], ("clay", ware.Clay.Name));
    }
}
