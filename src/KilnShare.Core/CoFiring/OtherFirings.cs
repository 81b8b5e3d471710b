namespace KilnShare.Core.CoFiring;

/// <summary>Proposes another firing as a cure; a second check decides whether it holds.</summary>
internal static class OtherFirings
{
    /// <summary>The findings, each with the firings that may suit the piece better among its cures, the nearest first.</summary>
    public static IReadOnlyList<Finding> Offer(CheckedLoad load, int index, List<Finding> findings)
    {
        var (firing, ware) = (load.Firing, load.Pieces[index]);
        if (!findings.Exists(IsCured)) return findings;
        Cure[] cures = [.. NextFiring.Instead(ware, firing).Select(other => Cure.Elsewhere([ware.Id], other.Kind, other.Cone, other.Atmosphere))];
        return cures.Length == 0
            ? findings : findings.ConvertAll(finding => IsCured(finding) ? finding with { Cures = [.. finding.Cures, .. cures] } : finding);
    }

    private static bool IsCured(Finding finding) => finding.Touches != Touches.Use && finding.Verdict != Verdict.Compatible;
}
