using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>The ledger entries by which a firing is settled, taken back or corrected.</summary>
public static class Settlement
{
    /// <summary>
    /// One entry for each party's part that is not 0: the member, or the studio for its own share, owes it to the firings, and value added tax to an
    /// account of its own.
    /// </summary>
    /// <param name="firing">The firing's opaque id.</param>
    /// <param name="at">When it is settled.</param>
    /// <param name="currency">Of the split.</param>
    /// <param name="shares">The split's shares.</param>
    public static IReadOnlyList<LedgerEntry> Entries(string firing, Instant at, Currency currency, IReadOnlyList<Share> shares) =>
        shares.SelectMany(share => share.Parts.Select(part =>
            LedgerEntry.Owed(at, EntryKind.Settlement, AccountOf(share), string.Equals(part.Name, Vat.Part, StringComparison.Ordinal)
                ? Account.Vat : Account.Firings, part.AmountMinor, currency, firing, part.Name)))
            .OfType<LedgerEntry>().ToArray();

    /// <summary>The entries that take all of these back, so that together they have no effect.</summary>
    public static IReadOnlyList<LedgerEntry> Reversal(IEnumerable<LedgerEntry> entries, Instant at) =>
        entries.Select(e => e.ReversedAt(at)).ToArray();

    /// <summary>A settlement replaced by another, e.g. after a meter reading was corrected: the old one reversed, then the new one.</summary>
    public static IReadOnlyList<LedgerEntry> Correction(
        IEnumerable<LedgerEntry> settled, string firing, Instant at, Currency currency, IReadOnlyList<Share> shares) =>
        [.. Reversal(settled, at), .. Entries(firing, at, currency, shares)];

    private static Account AccountOf(Share share) => share.Id is null ? Account.StudioShare : Account.OfMember(share.Id);
}
