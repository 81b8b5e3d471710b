using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;

namespace KilnShare.Core.Bookings;

/// <summary>Whether ware may go into a firing by what the rules say of it. Whose yes a finding asks for, the finding says.</summary>
public static class BookingGate
{
    /// <summary>The code of what waits for a technician.</summary>
    public const string NeedsTechnician = "cofiring.needs-technician";

    /// <summary>Null where the ware may go in. What only its member can answer is asked for first, so that nothing waits for a technician in vain.</summary>
    /// <param name="findings">What the rules say.</param>
    /// <param name="copies">The ware they speak of.</param>
    /// <param name="accepts">The rules that the member has accepted.</param>
    /// <param name="technicianAgrees">Whether a technician has said yes.</param>
    public static Refusal? Check(IReadOnlyList<Finding> findings, IReadOnlyList<HeldCopy> copies, IReadOnlyCollection<string> accepts, bool technicianAgrees)
    {
        if (findings.Where(f => f.Verdict == Verdict.Incompatible).ToList() is { Count: > 0 } hard)
            return Refuse("cofiring.incompatible", hard, $"{Of(copies, hard[0])} may not go into this firing: {hard[0].Message}");
        if (Open(findings, accepts) is { Count: > 0 } open)
            return Refuse("cofiring.needs-accepts", open,
                $"Read what the rules say of {Of(copies, open[0])}, then send accepts: [{string.Join(", ", RulesOf(open))}]. {open[0].Message}");
        return technicianAgrees || findings.Where(f => f.Asks == Asks.Technician).ToList() is not { Count: > 0 } unknown ? null : Refuse(
            NeedsTechnician, unknown,
                $"Something of {Of(copies, unknown[0])} that matters to the kiln or to others is not known, so a technician must agree: {unknown[0].Message}");
    }

    /// <summary>The rules that ask the member and are not accepted yet.</summary>
    public static IReadOnlyList<string> Missing(IReadOnlyList<Finding> findings, IReadOnlyCollection<string> accepts) => RulesOf(Open(findings, accepts));

    private static List<Finding> Open(IReadOnlyList<Finding> findings, IReadOnlyCollection<string> accepts) =>
        [.. findings.Where(f => f.Asks == Asks.Member && !accepts.Contains(f.Rule, StringComparer.Ordinal))];

    private static List<string> RulesOf(IEnumerable<Finding> findings) => [.. findings.Select(f => f.Rule).Distinct(StringComparer.Ordinal)];

    private static string Of(IReadOnlyList<HeldCopy> copies, Finding finding) =>
        WareNames.Of(copies.Where(c => finding.Pieces.Contains(c.PieceId.ToString(), StringComparer.Ordinal)).ToList() is { Count: > 0 } named
            ? named : copies);

    private static Refusal Refuse(string code, List<Finding> findings, string message) => Refusal.Rule(code, message, "/pieces") with
    {
        Values = new Dictionary<string, object?>(StringComparer.Ordinal)
        {
            ["rules"] = RulesOf(findings),
            ["messages"] = findings.Select(f => f.Message).Distinct(StringComparer.Ordinal).ToList(),
        },
    };
}
