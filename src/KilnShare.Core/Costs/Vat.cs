using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>
/// Value added tax on what members are charged for a firing. It is put on, and kept apart; no paper of this house claims to be a tax invoice.
/// </summary>
public static class Vat
{
    /// <summary>The name of the part.</summary>
    public const string Part = "value-added-tax";

    /// <summary>The highest rate that is taken, percent.</summary>
    public const decimal MostPercent = 100;

    /// <summary>What a bill says beside it.</summary>
    public const string NoInvoice = "This is not a tax invoice. Ask the studio for one if you need it.";

    /// <summary>
    /// The same charges with tax on each member's share, rounded once a bill; shares in credit, and what the studio bears itself, are not taxed.
    /// </summary>
    public static CostSplitAnswer PutOn(CostSplitAnswer charged, decimal percent)
    {
        if (percent == 0) return charged;
        Share[] shares = [.. charged.Shares.Select(s => s.Studio ? s : WithTax(s, MinorUnits.Rounded(Math.Max(0, s.AmountMinor) * percent / 100)))];
        return charged with { Shares = shares, TotalMinor = shares.Sum(s => s.AmountMinor) };
    }

    /// <summary>The tax in these shares.</summary>
    public static long In(IEnumerable<Share> shares) =>
        shares.SelectMany(s => s.Parts).Where(p => string.Equals(p.Name, Part, StringComparison.Ordinal)).Sum(p => p.AmountMinor);

    private static Share WithTax(Share share, long minor) => minor == 0 ? share : share.With(Part, minor);
}
