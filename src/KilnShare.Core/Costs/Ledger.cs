using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>What the entries of a studio add up to.</summary>
public static class Ledger
{
    /// <summary>Each account's balance per currency, by replaying the entries: debits less credits. Per currency they sum to 0.</summary>
    public static IReadOnlyDictionary<(Account Account, Currency Currency), Int128> Balances(IEnumerable<LedgerEntry> entries)
    {
        var balances = new Dictionary<(Account, Currency), Int128>();
        foreach (var entry in entries)
        {
            Add(balances, (entry.Debit, entry.Currency), entry.AmountMinor);
            Add(balances, (entry.Credit, entry.Currency), -entry.AmountMinor);
        }
        return balances;
    }

    /// <summary>What the entry does to one account's balance; 0 where it does not touch it.</summary>
    public static long Effect(LedgerEntry entry, Account account) =>
        entry.Debit == account ? entry.AmountMinor : entry.Credit == account ? -entry.AmountMinor : 0;

    private static void Add(Dictionary<(Account, Currency), Int128> balances, (Account, Currency) key, Int128 amount) =>
        balances[key] = balances.GetValueOrDefault(key) + amount;
}
