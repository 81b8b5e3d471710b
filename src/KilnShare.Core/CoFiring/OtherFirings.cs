namespace KilnShare.Core.CoFiring;

/// <summary>Proposes another firing as a cure; a second check decides whether it holds.</summary>
internal static class OtherFirings
{
    /// <summary>The findings, each with the firing that suits the piece better among its cures, where there is one.</summary>
    public static IReadOnlyList<Finding> Offer(CheckedLoad load, int index, List<Finding> findings)
    {
        var (firing, ware) = (load.Firing, load.Pieces[index]);
        if (!findings.Exists(IsCured)) return findings;
        if (NextFiring.Instead(ware, firing) is not { } other || other == firing) return findings;
        var cure = Cure.Elsewhere([ware.Id], other.Kind, other.Cone, other.Atmosphere);
        return findings.ConvertAll(finding => IsCured(finding) ? finding with { Cures = [.. finding.Cures, cure] } : finding);
    }

    private static bool IsCured(Finding finding) => finding.Touches != Touches.Use && finding.Verdict != Verdict.Compatible;
}
