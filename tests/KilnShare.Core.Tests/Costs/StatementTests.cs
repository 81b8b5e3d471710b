using CsCheck;
using KilnShare.Core.Costs;
using NodaTime;

namespace KilnShare.Core.Tests.Costs;

public sealed class StatementTests
{
    private static readonly Instant Start = Instant.FromUtc(2026, 1, 1, 0, 0);

    private static readonly Account A = Account.OfMember("a");

    private static readonly Gen<LedgerEntry> Entry = Gen.Select(
        Gen.Int[0, 400], Gen.Int[0, 3], Gen.Long[1, 5000],
        (day, kind, amount) => kind switch
        {
            0 => new LedgerEntry(Start + Duration.FromDays(day), EntryKind.Settlement, A, Account.Firings, amount, CostSplitTests.Euro, $"f{day}", "energy"),
            1 => new LedgerEntry(Start + Duration.FromDays(day), EntryKind.Payment, Account.Cash, A, amount, CostSplitTests.Euro, "p", "payment"),
            2 => new LedgerEntry(
                Start + Duration.FromDays(day), EntryKind.Settlement, Account.StudioShare, Account.Firings, amount, CostSplitTests.Euro, $"f{day}", "energy"),
            _ => new LedgerEntry(Start + Duration.FromDays(day), EntryKind.Adjustment, A, Account.OfMember("b"), amount, CostSplitTests.Euro, "i", "ware"),
        });

    [Fact]
    public void Opening_and_movements_are_closing_and_adjacent_periods_join() =>
        Gen.Select(Entry.Array[0, 40], Gen.Int[0, 200], Gen.Int[0, 100], Gen.Int[0, 100]).Sample((entries, from, first, second) =>
        {
            var (t0, t1, t2) = (At(from), At(from + first), At(from + first + second));
            var (early, late, both) = (Of(entries, t0, t1), Of(entries, t1, t2), Of(entries, t0, t2));
            Assert.Equal(early.ClosingMinor, early.OpeningMinor + early.Lines.Sum(l => l.AmountMinor));
            Assert.Equal(early.ClosingMinor, late.OpeningMinor);
            Assert.Equal((early.OpeningMinor, late.ClosingMinor), (both.OpeningMinor, both.ClosingMinor));
            Assert.Equal(both.Lines, early.Lines.Concat(late.Lines));
        });

    [Fact]
    public void The_balance_at_the_end_of_all_is_the_replayed_one() => Entry.Array[1, 40].Sample(entries =>
        Assert.Equal(Ledger.Balances(entries).GetValueOrDefault((A, CostSplitTests.Euro)), Of(entries, Start, At(9999)).ClosingMinor));

    [Fact]
    public void The_months_of_a_year_add_up_to_it_and_to_the_ledger() => Entry.Array[1, 60].Sample(entries =>
    {
        var year = StudioYear.Of(2026, DateTimeZone.Utc, CostSplitTests.Euro, entries);
        var within = entries.Where(e => e.At < Instant.FromUtc(2027, 1, 1, 0, 0)).ToArray();
        Assert.Equal(within.Sum(e => Ledger.Effect(e, Account.Cash)), year.Whole.ReceivedMinor);
        Assert.Equal(year.Whole.ChargedMinor, year.Months.Aggregate(Int128.Zero, (s, m) => s + m.ChargedMinor));
        Assert.Equal(-within.Sum(e => Ledger.Effect(e, Account.Firings)), year.Whole.ChargedMinor + year.Whole.StudioMinor);
        Assert.Equal(year.OwedAtEndMinor, year.Whole.ChargedMinor + year.Whole.AdjustedMinor - year.Whole.ReceivedMinor);
    });

    [Fact]
    public void A_year_goes_by_the_studio_s_clock()
    {
        // 23:30 UTC on New Year's Eve is 2027 in Helsinki.
        var entry = new LedgerEntry(Instant.FromUtc(2026, 12, 31, 23, 30), EntryKind.Settlement, A, Account.Firings, 10, CostSplitTests.Euro, "f", "energy");
        Assert.Equal(0, StudioYear.Of(2026, DateTimeZoneProviders.Tzdb["Europe/Helsinki"], CostSplitTests.Euro, [entry]).Whole.Firings);
        Assert.Equal(1, StudioYear.Of(2027, DateTimeZoneProviders.Tzdb["Europe/Helsinki"], CostSplitTests.Euro, [entry]).Months[0].Firings);
    }

    [Fact]
    public void A_firing_taken_back_is_not_counted()
    {
        var entry = new LedgerEntry(Start, EntryKind.Settlement, A, Account.Firings, 10, CostSplitTests.Euro, "f", "energy");
        var year = StudioYear.Of(2026, DateTimeZone.Utc, CostSplitTests.Euro, [entry, entry.ReversedAt(At(1))]);
        Assert.Equal(new PeriodSum(0, 0, 0, 0, 0), year.Whole);
    }

    private static Instant At(int day) => Start + Duration.FromDays(day);

    private static Statement Of(IEnumerable<LedgerEntry> entries, Instant from, Instant to) =>
        Statement.Of(A, CostSplitTests.Euro, new Interval(from, to), entries);
}
