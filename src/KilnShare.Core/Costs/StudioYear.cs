using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>What a month, or a year, came to in one currency.</summary>
/// <param name="ChargedMinor">Members' parts of firings, less what was reversed.</param>
/// <param name="StudioMinor">What the studio itself bore of firings, of credits less charges, and of damage less what was made good.</param>
/// <param name="AdjustedMinor">Members' charges outside firings, less credits.</param>
/// <param name="ReceivedMinor">Money in, less money out.</param>
/// <param name="Firings">Firings settled (and not taken back).</param>
/// <param name="VatMinor">Value added tax on members' parts of firings, less what was reversed; not in <paramref name="ChargedMinor"/>.</param>
public sealed record PeriodSum(Int128 ChargedMinor, Int128 StudioMinor, Int128 AdjustedMinor, Int128 ReceivedMinor, int Firings, Int128 VatMinor = default);

/// <summary>A studio's calendar year: twelve months, their sum, and what members owe at the end of it.</summary>
/// <param name="Year">The year, in the studio's zone.</param>
/// <param name="Currency">Of every amount.</param>
/// <param name="Months">January first.</param>
/// <param name="Whole">The year.</param>
/// <param name="OwedAtEndMinor">Members' balances at the end of the year, added up.</param>
public sealed record StudioYear(int Year, Currency Currency, IReadOnlyList<PeriodSum> Months, PeriodSum Whole, Int128 OwedAtEndMinor)
{
    /// <summary>The year from all entries of the ledger, months by the studio's clock.</summary>
    /// <param name="year">The year.</param>
    /// <param name="zone">The studio's.</param>
    /// <param name="currency">Of the sums.</param>
    /// <param name="entries">All of them, or those since members owed <paramref name="owedBeforeMinor"/>.</param>
    /// <param name="owedBeforeMinor">What members owed before the first of the entries.</param>
    public static StudioYear Of(int year, DateTimeZone zone, Currency currency, IEnumerable<LedgerEntry> entries, Int128 owedBeforeMinor = default)
    {
        var all = entries.Where(e => e.Currency == currency).Select(e => (Entry: e, Date: e.At.InZone(zone).Date)).ToArray();
        var within = all.Where(x => x.Date.Year == year).ToArray();
        var months = Enumerable.Range(1, 12)
            .Select(month => SumOf(within.Where(x => x.Date.Month == month).Select(x => x.Entry).ToArray())).ToArray();
        var owed = all.Where(x => x.Date.Year <= year).Aggregate(owedBeforeMinor, (sum, x) => sum + MembersEffect(x.Entry));
        return new StudioYear(year, currency, months, SumOf(within.Select(x => x.Entry).ToArray()), owed);
    }

    private static PeriodSum SumOf(IReadOnlyCollection<LedgerEntry> entries)
    {
        var ofFirings = entries.Where(IsOfFirings).ToArray();
        var outside = entries.Where(e => !IsOfFirings(e) && Ledger.Effect(e, Account.Cash) == 0 && Ledger.Effect(e, Account.Vat) == 0);
        return new PeriodSum(
            Total(ofFirings, MembersEffect),
            Total(entries, e => Ledger.Effect(e, Account.StudioShare)),
            Total(outside, MembersEffect),
            Total(entries, e => Ledger.Effect(e, Account.Cash)),
            ofFirings.GroupBy(e => e.Subject, StringComparer.Ordinal).Count(g => g.Sum(e => Ledger.Effect(e, Account.Firings)) != 0),
            -Total(entries, e => Ledger.Effect(e, Account.Vat)));
    }

    private static bool IsOfFirings(LedgerEntry entry) => Ledger.Effect(entry, Account.Firings) != 0;

    private static long MembersEffect(LedgerEntry entry) =>
        (entry.Debit.Kind == AccountKind.Member ? entry.AmountMinor : 0) - (entry.Credit.Kind == AccountKind.Member ? entry.AmountMinor : 0);

    private static Int128 Total(IEnumerable<LedgerEntry> entries, Func<LedgerEntry, long> effect) =>
        entries.Aggregate(Int128.Zero, (sum, e) => sum + effect(e));
}
