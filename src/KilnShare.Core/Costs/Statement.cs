using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>One line of a statement.</summary>
/// <param name="Entry">The ledger entry.</param>
/// <param name="AmountMinor">What it did to the account: above 0 a charge, below 0 a payment or credit.</param>
/// <param name="BalanceMinor">The balance after it.</param>
public sealed record StatementLine(LedgerEntry Entry, long AmountMinor, Int128 BalanceMinor);

/// <summary>What happened on one account in one currency over a period; the next period opens with this one's closing balance.</summary>
/// <param name="Account">Whose.</param>
/// <param name="Currency">Of every amount.</param>
/// <param name="OpeningMinor">Balance before the period.</param>
/// <param name="Lines">Entries from the start of the period until just before its end, oldest first.</param>
/// <param name="ClosingMinor">Balance at the end.</param>
public sealed record Statement(Account Account, Currency Currency, Int128 OpeningMinor, IReadOnlyList<StatementLine> Lines, Int128 ClosingMinor)
{
    /// <summary>The statement of an account over a half-open interval, from all entries of the ledger in the order they were written.</summary>
    public static Statement Of(Account account, Currency currency, Interval period, IEnumerable<LedgerEntry> entries)
    {
        var mine = entries.Where(e => e.Currency == currency && Ledger.Effect(e, account) != 0).OrderBy(e => e.At).ToArray();
        var opening = mine.Where(e => e.At < period.Start).Aggregate(Int128.Zero, (sum, e) => sum + Ledger.Effect(e, account));
        return From(account, currency, opening, mine.Where(e => period.Contains(e.At)));
    }

    /// <summary>The statement that opens with a balance and goes through the account's own entries of the period, oldest first.</summary>
    public static Statement From(Account account, Currency currency, Int128 openingMinor, IEnumerable<LedgerEntry> entries)
    {
        var balance = openingMinor;
        var lines = new List<StatementLine>();
        foreach (var entry in entries)
        {
            balance += Ledger.Effect(entry, account);
            lines.Add(new StatementLine(entry, Ledger.Effect(entry, account), balance));
        }

        return new Statement(account, currency, openingMinor, lines, balance);
    }
}
