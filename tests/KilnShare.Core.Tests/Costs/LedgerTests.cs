using CsCheck;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using NodaTime;

namespace KilnShare.Core.Tests.Costs;

public sealed class LedgerTests
{
    private static readonly Instant Day = Instant.FromUtc(2026, 3, 1, 12, 0);

    // ISO 4217, table A.1.
    [Theory]
    [InlineData("EUR", 2)]
    [InlineData("USD", 2)]
    [InlineData("JPY", 0)]
    [InlineData("ISK", 0)]
    [InlineData("KWD", 3)]
    [InlineData("TND", 3)]
    [InlineData("CLF", 4)]
    public void Minor_digits_follow_iso_4217(string code, int digits) => Assert.Equal(digits, Currency.Parse(code)!.Value.MinorDigits);

    [Fact]
    public void What_is_settled_is_what_was_split() => CostSplitPropertyTests.Request.Sample(request =>
    {
        if (!CostSplit.Split(request).TryGet(out var answer, out _)) return;
        var balances = Ledger.Balances(Settlement.Entries("f1", Day, request.Currency, answer.Shares));
        foreach (var share in answer.Shares)
        {
            var account = share.Studio ? Account.StudioShare : Account.OfMember(share.Id!);
            Assert.Equal(share.AmountMinor, balances.GetValueOrDefault((account, request.Currency)));
        }
        Assert.Equal(-answer.TotalMinor, balances.GetValueOrDefault((Account.Firings, request.Currency)));
        Assert.Equal(0, balances.Values.Aggregate(Int128.Zero, (s, b) => s + b));
    });

    [Fact]
    public void Settled_and_reversed_has_no_effect() => CostSplitPropertyTests.Request.Sample(request =>
    {
        if (!CostSplit.Split(request).TryGet(out var answer, out _)) return;
        var entries = Settlement.Entries("f1", Day, request.Currency, answer.Shares);
        Assert.All(Ledger.Balances(entries.Concat(Settlement.Reversal(entries, Day))).Values, b => Assert.Equal(0, b));
    });

    [Fact]
    public void A_corrected_meter_is_the_old_settlement_reversed_and_the_new_one() =>
        Gen.Select(CostSplitPropertyTests.Request, Gen.Long[-1000, 1000]).Sample((request, change) =>
        {
            var corrected = request with { Parts = request.Parts.Select(p => p with { AmountMinor = p.AmountMinor + change }).ToArray() };
            if (!CostSplit.Split(request).TryGet(out var before, out _) || !CostSplit.Split(corrected).TryGet(out var after, out _)) return;
            var old = Settlement.Entries("f1", Day, request.Currency, before.Shares);
            var both = old.Concat(Settlement.Correction(old, "f1", Day, request.Currency, after.Shares));
            var straight = Ledger.Balances(Settlement.Entries("f1", Day, request.Currency, after.Shares));
            foreach (var (key, balance) in Ledger.Balances(both)) Assert.Equal(straight.GetValueOrDefault(key), balance);
        });

    [Fact]
    public void Currencies_never_mix()
    {
        var entries = new[] { Charge(500, "EUR"), Charge(700, "JPY") };
        var balances = Ledger.Balances(entries);
        Assert.Equal(500, balances[(Account.OfMember("a"), Currency.Parse("EUR")!.Value)]);
        Assert.Equal(700, balances[(Account.OfMember("a"), Currency.Parse("JPY")!.Value)]);
    }

    [Fact]
    public void Ten_thousand_of_the_largest_charges_do_not_overflow()
    {
        var entries = Enumerable.Repeat(Charge(long.MaxValue, "EUR"), 10_000);
        Assert.Equal((Int128)long.MaxValue * 10_000, Ledger.Balances(entries)[(Account.OfMember("a"), CostSplitTests.Euro)]);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-1)]
    public void An_entry_needs_an_amount_above_zero(long amount) => Assert.Throws<ArgumentOutOfRangeException>(() => Charge(amount, "EUR"));

    [Fact]
    public void An_entry_needs_two_accounts() =>
        Assert.Throws<ArgumentException>(() => new LedgerEntry(Day, EntryKind.Payment, Account.Cash, Account.Cash, 1, CostSplitTests.Euro, "p", "p"));

    private static LedgerEntry Charge(long amount, string currency) =>
        new(Day, EntryKind.Settlement, Account.OfMember("a"), Account.Firings, amount, Currency.Parse(currency)!.Value, "f1", "energy");
}
