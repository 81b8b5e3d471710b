using CsCheck;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Core.Tests.Costs;

/// <summary>Least charges, discounts, test ware and tax, together in a firing's cost.</summary>
public sealed class FairPriceTests
{
    private static readonly MemberUse[] Uses = [new("a", 3, 240, 9600, 2100), new("b", 2, 90, 3600, 900)];

    private static readonly FiringCostBasis Basis = new("f", FiringKind.Glaze, FiringOutcome.Sound, 0.55m, 500, Uses, [], CostRules.Usual, 20_000);

    private static readonly ListPrices Listed = new(new Dictionary<FiringKind, decimal> { [FiringKind.Glaze] = 0.1m }, 300);

    private static readonly Gen<CostRules> AnyRules =
        from minimum in Gen.Long[0, 2_500]
        from percent in Gen.Int[1, 100]
        from both in Gen.Bool
        from listed in Gen.Bool
        from below in Gen.Bool
        from test in Gen.Int[0, 100]
        from vat in Gen.Int[0, 25_000]
        select CostRules.Usual with
        {
            MinimumMinor = minimum,
            Discounts = both ? [new("a", percent), new("b", 100 - (percent / 2))] : [new("b", percent)],
            Prices = listed ? Listed : null,
            DiscountsBelowLeast = below,
            TestWarePercent = test,
            VatPercent = vat / 1000m,
            Surcharges = [new Surcharge("stilts", 70), new Surcharge("helped", -200)],
        };

    // 50 kWh are 27.50, by room 2000 and 750; wear 250 each: 2250 and 1000. b helped at unloading: 2 × 2.00 off, whatever the least charge is.
    [Theory]
    [InlineData(0, 600)]
    [InlineData(900, 600)]
    [InlineData(1200, 800)]
    public void A_credit_comes_off_after_the_least_charge(long minimum, long expected)
    {
        var rules = CostRules.Usual with { MinimumMinor = minimum, Surcharges = [new Surcharge("helped", -200)] };
        Assert.Equal(expected, Of(rules, new SurchargeUse("b", "helped", 2))["b"]);
    }

    // b bears 1000. Half of it is 500; with a least charge of 900 only 100 come off, unless the rules say otherwise.
    [Theory]
    [InlineData(0, false, 500)]
    [InlineData(900, false, 900)]
    [InlineData(900, true, 500)]
    public void A_discount_stops_at_the_least_charge(long minimum, bool below, long expected) =>
        Assert.Equal(expected, Of(CostRules.Usual with { MinimumMinor = minimum, DiscountsBelowLeast = below, Discounts = [new("b", 50)] })["b"]);

    // 3.6 l at 0.10 are 0.36, so the list's least charge of 3.00 is asked; a discount leaves it.
    [Fact]
    public void A_discount_stops_at_the_price_lists_least_charge() =>
        Assert.Equal(300, Of(CostRules.Usual with { Prices = Listed, Discounts = [new("b", 50)] })["b"]);

    [Fact]
    public void What_one_member_used_up_moves_nobodys_discount() =>
        Gen.Select(AnyRules, Gen.Int[0, 100_000], Gen.Int[1, 9], Gen.Bool).Sample((rules, wattHours, stilts, isA) =>
    {
        var use = new SurchargeUse(isA ? "a" : "b", "stilts", stilts);
        var (without, with) = (Discount([]), Discount([use]));
        Assert.Equal(without, with);

        long[] Discount(SurchargeUse[] uses) =>
        [
            .. FiringCost.Of(
                Basis with { Rules = rules with { VatPercent = 0 }, SurchargeUses = uses }, CostSplitTests.Euro, wattHours / 1000m).Value.Charged.Shares
                .Where(s => !s.Studio).Select(s => s.Parts.Where(p => p.Name == Discounts.Part).Sum(p => p.AmountMinor)),
        ];
    });

    [Fact]
    public void No_discount_takes_a_share_below_the_least_charge() => Gen.Select(AnyRules, Gen.Int[0, 100_000]).Sample((rules, wattHours) =>
    {
        var basis = Basis with { Rules = rules with { VatPercent = 0, DiscountsBelowLeast = false }, Uses = [Uses[0] with { TestVolumeCm3 = 4000 }, Uses[1]] };
        var cost = FiringCost.Of(basis, CostSplitTests.Euro, wattHours / 1000m).Value;
        var least = FiringCost.IsByList(basis) ? 300 : cost.Request.MinimumMinor;
        Assert.All(cost.Charged.Shares.Where(s => !s.Studio), s => Assert.True(s.AmountMinor >= least, $"{s.AmountMinor} below {least}"));
    });

    // a bears 2250, of which 4800 of 9600 cm³ are test ware: half of that half is let off, 562.5, away from zero 563.
    [Fact]
    public void Test_ware_pays_its_percent_by_room_and_the_studio_the_rest()
    {
        var cost = FiringCost.Of(Basis with { Rules = CostRules.Usual with { TestWarePercent = 50 }, Uses = [Uses[0] with { TestVolumeCm3 = 4800 }, Uses[1]] },
            CostSplitTests.Euro, 50).Value;
        Assert.Equal([2250 - 563L, 1000L, 563L], cost.Charged.Shares.Select(s => s.AmountMinor));
        Assert.Equal(new SharePart(Discounts.TestWarePart, -563), cost.Charged.Shares[0].Parts[^1]);
    }

    // b bears 1000, all of it by test ware; at 25 % 750 come off, and its own discount of a tenth is taken of the 250 that are left.
    [Theory]
    [InlineData(100, 0, 1000)]
    [InlineData(25, 0, 250)]
    [InlineData(0, 0, 0)]
    [InlineData(25, 10, 225)]
    public void Ware_that_is_all_test_ware_pays_the_percent_of_its_class_and_a_discount_of_what_is_left(int test, int discount, long expected)
    {
        var rules = CostRules.Usual with { TestWarePercent = test, Discounts = discount == 0 ? [] : [new("b", discount)] };
        var cost = FiringCost.Of(Basis with { Rules = rules, Uses = [Uses[0], Uses[1] with { TestVolumeCm3 = 3600 }] }, CostSplitTests.Euro, 50).Value;
        Assert.Equal([2250, expected, 1000 - expected], cost.Charged.Shares.Select(s => s.AmountMinor).Concat(expected == 1000 ? [0L] : Array.Empty<long>()));
    }

    [Fact]
    public void Only_test_ware_is_let_off_as_test_ware_and_the_studio_bears_just_that() =>
        Gen.Select(AnyRules, Gen.Int[0, 9600], Gen.Int[0, 100_000]).Sample((rules, testCm3, wattHours) =>
    {
        var basis = Basis with { Rules = rules with { VatPercent = 0, Discounts = [] }, Uses = [Uses[0] with { TestVolumeCm3 = testCm3 }, Uses[1]] };
        var (with, without) = (FiringCost.Of(basis, CostSplitTests.Euro, wattHours / 1000m).Value.Charged, FiringCost.Of(
            basis with { Uses = Uses }, CostSplitTests.Euro, wattHours / 1000m).Value.Charged);
        Assert.Equal(Of("b", without), Of("b", with));
        var off = Of("a", without) - Of("a", with);
        Assert.InRange(off, 0, Math.Max(0, Of("a", without)));
        Assert.Equal(without.TotalMinor, with.TotalMinor);
        Assert.Equal(off, Of(null, with) - Of(null, without));
        // A tile of no room, and a class that pays like any other, change nothing.
        if (testCm3 == 0 || rules.TestWarePercent == CostRules.MostPercent) Assert.Equal(0, off);

        static long Of(string? member, CostSplitAnswer answer) => answer.Shares.Where(s => s.Id == member).Sum(s => s.AmountMinor);
    });

    // 19 % of 2250 are 427.5, away from zero 428; of 1000 they are 190. The studio's own share is not taxed.
    [Fact]
    public void Tax_is_rounded_once_a_bill_and_stands_by_itself()
    {
        var cost = FiringCost.Of(Basis with { Rules = CostRules.Usual with { VatPercent = 19, Discounts = [new("b", 10)] } }, CostSplitTests.Euro, 50).Value;
        Assert.Equal([2250 + 428L, 900 + 171L, 100L], cost.Charged.Shares.Select(s => s.AmountMinor));
        Assert.Equal(3250 + 428 + 171, cost.Charged.TotalMinor);
        Assert.Equal(599, Vat.In(cost.Charged.Shares));
        Assert.Equal(3250, cost.Metered.TotalMinor);
    }

    [Fact]
    public void Without_a_rate_nothing_is_put_on() => Assert.DoesNotContain(
        FiringCost.Of(Basis, CostSplitTests.Euro, 50).Value.Charged.Shares.SelectMany(s => s.Parts), p => p.Name == Vat.Part);

    [Fact]
    public void Whatever_the_rules_shares_are_cost_and_tax_and_the_books_sum_to_nothing() =>
        Gen.Select(AnyRules, Gen.Int[0, 100_000], Gen.Int[0, 4]).Sample((rules, wattHours, helped) =>
    {
        var basis = Basis with
        {
            Rules = rules,
            Uses = [Uses[0] with { TestVolumeCm3 = 4000 }, Uses[1]],
            SurchargeUses = [new SurchargeUse("b", "helped", helped), new SurchargeUse("a", "stilts", helped)],
        };
        var cost = FiringCost.Of(basis, CostSplitTests.Euro, wattHours / 1000m).Value;
        var (shares, tax) = (cost.Charged.Shares, Vat.In(cost.Charged.Shares));
        Assert.Equal(cost.Request.Parts.Sum(p => p.AmountMinor) + tax, cost.Charged.TotalMinor);
        Assert.Equal(cost.Charged.TotalMinor, shares.Sum(s => s.AmountMinor));
        Assert.All(shares, s => Assert.Equal(s.AmountMinor, s.Parts.Sum(p => p.AmountMinor)));
        var at = Instant.FromUtc(2026, 1, 12, 8, 0);
        var entries = Settlement.Entries("f", at, CostSplitTests.Euro, shares);
        var balances = Ledger.Balances([.. entries, .. Settlement.Correction(entries, "f", at, CostSplitTests.Euro, shares)]);
        Assert.Equal(0, balances.Values.Aggregate(Int128.Zero, (sum, b) => sum + b));
        Assert.Equal(-tax, balances.GetValueOrDefault((Account.Vat, CostSplitTests.Euro)));
        var year = StudioYear.Of(2026, DateTimeZone.Utc, CostSplitTests.Euro, entries).Whole;
        Assert.Equal((tax, 0), (year.VatMinor, year.AdjustedMinor));
        Assert.Equal(shares.Where(s => !s.Studio).Sum(s => s.AmountMinor) - tax, year.ChargedMinor);
    });

    private static Dictionary<string, long> Of(CostRules rules, params SurchargeUse[] uses) =>
        FiringCost.Of(
            Basis with { Rules = rules, SurchargeUses = uses }, CostSplitTests.Euro, 50).Value.Charged.Shares.ToDictionary(s => s.Id ?? "", s => s.AmountMinor);
}
