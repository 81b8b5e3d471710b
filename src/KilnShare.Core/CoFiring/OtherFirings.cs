namespace KilnShare.Core.CoFiring;

/// <summary>Offers another firing as a cure, once a second check has confirmed it.</summary>
internal static class OtherFirings
{
    /// <summary>
    /// The findings, each with another firing among its cures where the piece, alone in that firing, meets nothing incompatible and its rule
    /// is silent.
    /// </summary>
    public static IReadOnlyList<Finding> Offer(CheckedLoad load, int index, List<Finding> findings)
    {
        var (firing, ware) = (load.Firing, load.Pieces[index]);
        if (!findings.Exists(finding => finding.Touches != Touches.Use)) return findings;
        if (NextFiring.Instead(ware, firing) is not { } other || other == firing) return findings;
        var there = CoFiringCheck.OnPiece(new CheckedLoad(other, [ware], load.Evidence), 0);
        if (there.Exists(finding => finding.Verdict == Verdict.Incompatible && finding.Touches != Touches.Use)) return findings;
        var cure = Cure.Elsewhere([ware.Id], other.Kind, other.Cone, other.Atmosphere);
        var speaking = there.Where(finding => finding.Verdict != Verdict.Compatible).Select(finding => finding.Rule).ToHashSet(StringComparer.Ordinal);
        return findings.ConvertAll(finding => finding.Touches == Touches.Use || speaking.Contains(finding.Rule) ? finding : finding with { Cures = [.. finding.Cures, cure] });
    }
}
