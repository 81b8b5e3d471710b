using KilnShare.Core.Common;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Costs;

/// <summary>How much one reader is shown of what a firing cost its members.</summary>
public enum AmountsShown
{
    /// <summary>Everybody's amounts.</summary>
    Everything,

    /// <summary>The reader's own, and what it cost in all.</summary>
    OwnAndTotals,

    /// <summary>The reader's own.</summary>
    Own,

    /// <summary>None.</summary>
    Nothing,
}

/// <summary>What one reader is shown of everybody's amounts, by the studio's setting.</summary>
/// <param name="Shown">How much.</param>
/// <param name="Reader">The reader's opaque id.</param>
public sealed record AmountsView(AmountsShown Shown, string Reader)
{
    /// <summary>
    /// So many members must bear a sum before it is told to one of them: with two, the other's amount is the sum less one's own.
    /// </summary>
    public const int FewestForTotals = 3;

    /// <summary>Everything, for those who plan and fire.</summary>
    public static AmountsView Everything { get; } = new(AmountsShown.Everything, "");

    /// <summary>True where totals may be told.</summary>
    public bool ShowsTotals => Shown <= AmountsShown.OwnAndTotals;

    /// <summary>Why something is missing, and whom to ask; null where nothing is.</summary>
    public string? Withheld => Shown switch
    {
        AmountsShown.Everything => null,
        AmountsShown.OwnAndTotals =>
            $"You see your own amounts and what it cost in all; each part of it where {FewestForTotals} members or more bear that part. For the others' "
                + $"amounts ask a technician.",
        AmountsShown.Own =>
            $"You see your own amounts. What it cost in all is told where {FewestForTotals} members or more share it, so that nobody's amount can be worked "
                + $"out by subtraction. Ask a technician.",
        _ => "This studio does not show amounts to you. Ask a technician.",
    };

    /// <summary>The same for lines that have no total.</summary>
    public string? WithheldLines =>
        Shown is AmountsShown.OwnAndTotals or AmountsShown.Own ? "You see what is yours. For the others' amounts ask a technician." : Withheld;

    /// <summary>What a reader is shown of these splits of one firing's cost.</summary>
    /// <param name="setting">Who reads everybody's amounts.</param>
    /// <param name="role">The reader's role.</param>
    /// <param name="reader">The reader.</param>
    /// <param name="splits">All splits that the answer tells of.</param>
    public static AmountsView Of(AmountsShownTo setting, Role role, Id<Member> reader, params ReadOnlySpan<CostSplitAnswer> splits)
    {
        var view = OfLines(setting, role, reader);
        if (view.Shown != AmountsShown.Own) return view;
        foreach (var split in splits)
            if (!Hides(split.Shares.Where(s => s.AmountMinor != 0).Select(s => s.Id), view.Reader)) return view;
        return view with { Shown = AmountsShown.OwnAndTotals };
    }

    /// <summary>What a reader is shown of lines that have no total.</summary>
    public static AmountsView OfLines(AmountsShownTo setting, Role role, Id<Member> reader) => SeesAll(setting, role) ? Everything
        : new AmountsView(role > Role.Potter ? AmountsShown.Nothing : AmountsShown.Own, reader.ToString());

    /// <summary>True where the role reads everybody's amounts.</summary>
    public static bool SeesAll(AmountsShownTo setting, Role role) => role <= setting switch
    {
        AmountsShownTo.Everyone => Role.Viewer,
        AmountsShownTo.Potters => Role.Potter,
        _ => Role.Technician,
    };

    /// <summary>
    /// True for a member whose amounts are shown; the studio's own share is part of everything only, since a discount or a credit in it is
    /// somebody's.
    /// </summary>
    public bool Shows(string? member) =>
        Shown == AmountsShown.Everything || (Shown != AmountsShown.Nothing && string.Equals(member, Reader, StringComparison.Ordinal));

    /// <summary>True where it may be told what each part came to: no part is borne by so few that one of them could be worked out.</summary>
    /// <param name="split">The split of these parts.</param>
    public bool ShowsParts(CostSplitAnswer split) => Shown == AmountsShown.Everything || (ShowsTotals && split.Shares
        .SelectMany(s => s.Parts.Where(p => p.AmountMinor != 0).Select(p => (s.Id, p.Name))).GroupBy(p => p.Name, p => p.Id, StringComparer.Ordinal)
        .All(bearers => Hides(bearers, Reader)));

    /// <summary>True where a sum of these parties' amounts tells a reader nobody else's.</summary>
    private static bool Hides(IEnumerable<string?> bearers, string reader)
    {
        var members = bearers.OfType<string>().Distinct(StringComparer.Ordinal).ToList();
        return members.Count >= FewestForTotals || members.TrueForAll(m => string.Equals(m, reader, StringComparison.Ordinal));
    }
}
