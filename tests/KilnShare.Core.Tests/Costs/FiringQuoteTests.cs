using CsCheck;
using KilnShare.Core.Costs;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Tests.Costs;

public sealed class FiringQuoteTests
{
    private static readonly MemberUse[] Uses = [new("a", 3, 240, 9600, 2100), new("b", 2, 90, 3600, 900)];

    private static readonly FiringCostBasis Basis = new("f", FiringKind.Glaze, FiringOutcome.Sound, 0.55m, 500, Uses, [], CostRules.Usual, 20_000);

    private static readonly CostBasis[] Bases = [CostBasis.Equal, CostBasis.Volume, CostBasis.Mass];

    private static readonly EnergyAssumption Fifty = new(50, 20, "");

    // 40, 50 and 60 kWh at 0.55 are 22.00, 27.50 and 33.00; by room 96 to 36: 1600, 2000 and 2400; wear 250 each.
    [Fact]
    public void A_quote_holds_what_is_assumed_between_its_ends()
    {
        var quote = Quote(Basis, "a");
        Assert.Equal(new MinorRange(1850, 2250, 2650), quote.Charged);
        Assert.Equal(quote.Charged, quote.Metered);
        Assert.Equal(new MinorRange(0, 0, 0), quote.Difference);
        Assert.Equal(new MinorRange(850, 1000, 1150), Quote(Basis, "b").Charged);
    }

    // At 2 a litre 9.6 l are 19.20 whatever the meter says, and 3.6 l 7.20: of 27.00, 32.50 and 38.00 the studio bears 0.60, 6.10 and 11.60.
    [Fact]
    public void Beside_a_list_price_stand_the_metered_share_and_the_difference_to_the_studio()
    {
        var quote = Quote(
            Basis with { Rules = CostRules.Usual with { Prices = new ListPrices(new Dictionary<FiringKind, decimal> { [FiringKind.Glaze] = 2 }, 0) } }, "a");
        Assert.Equal(new MinorRange(1920, 1920, 1920), quote.Charged);
        Assert.Equal(new MinorRange(1850, 2250, 2650), quote.Metered);
        Assert.Equal(new MinorRange(60, 610, 1160), quote.Difference);
    }

    [Fact]
    public void What_falls_to_a_booking_goes_by_its_room()
    {
        Assert.Equal([2250, 1125, 0, 2250], new[] { 9600m, 4800, 0, 99_999 }.Select(Quote(Basis, "a").LikelyFor));
        Assert.Equal(1625, Quote(Basis with { Rules = Equal, Uses = [new("a"), new("b")] }, "a").LikelyFor(0));
    }

    [Fact]
    public void The_steps_from_a_quote_to_a_bill_say_what_changed_and_by_how_much()
    {
        // Quoted 2000 + 250. 60 kWh are 3300: 2400 for a, so +400. A third joins with 3.6 l: 3300 · 96/168 = 1886, wear 500/3 = 167 or 166: −597 or −598.
        // Two catchers of 150 are +300.
        var quoted = QuotedCost.Of(Quote(Basis, "a"), 9600);
        var billed = Basis with
        {
            Uses = [.. Uses, new MemberUse("c", 1, 90, 3600, 900)],
            Rules = CostRules.Usual with { Surcharges = [new Surcharge("catcher", 150)] },
            SurchargeUses = [new SurchargeUse("a", "catcher", 2)],
        };
        var cost = FiringCost.Of(billed, CostSplitTests.Euro, 60).Value;
        var steps = QuoteDifference.Of(quoted, "a", CostSplitTests.Euro, billed, cost);
        Assert.Equal([QuoteCause.Energy, QuoteCause.Load, QuoteCause.Rules], steps.Select(s => s.Cause));
        Assert.Equal((400, 300), (steps[0].AmountMinor, steps[2].AmountMinor));
        Assert.InRange(steps[1].AmountMinor, -598, -597);
        Assert.Equal("The firing took 60 kWh; 50 kWh were assumed.", steps[0].Sentence);
        Assert.Equal("It was shared by 3, and this member's ware took 57.1 % of the room used; quoted were 2 and 72.7 %.", steps[1].Sentence);
    }

    [Fact]
    public void A_bill_as_quoted_has_nothing_to_explain() =>
        Assert.Empty(QuoteDifference.Of(
            QuotedCost.Of(Quote(Basis, "a"), 1), "a", CostSplitTests.Euro, Basis, FiringCost.Of(Basis, CostSplitTests.Euro, 50).Value));

    [Fact]
    public void Whatever_changes_the_steps_add_up_to_the_difference() =>
        Gen.Select(Gen.Int[0, 90_000], Gen.Int[1, 9_999], Gen.Enum<FiringOutcome>(), Gen.Int[0, 4], Gen.Int[0, 100])
            .Sample((wattHours, room, outcome, catchers, percent) =>
        {
            var billed = Basis with
            {
                Outcome = outcome,
                Uses = [Uses[0], new MemberUse("c", 1, 1, room, 1)],
                SurchargeUses = [new SurchargeUse("a", "catcher", catchers)],
                Rules = CostRules.Usual with
                {
                    Surcharges = [new Surcharge("catcher", 70)],
                    Failed = new ChargePolicy(
                    percent, 100 - percent, percent),
                    MinimumMinor = 100
                },
            };
            var quoted = QuotedCost.Of(Quote(Basis, "a"), 9600);
            var cost = FiringCost.Of(billed, CostSplitTests.Euro, wattHours / 1000m).Value;
            var share = cost.Charged.Shares.Single(s => s.Id == "a").AmountMinor;
            Assert.Equal(share - quoted.Whole.LikelyMinor, QuoteDifference.Of(quoted, "a", CostSplitTests.Euro, billed, cost).Sum(s => s.AmountMinor));
        });

    [Fact]
    public void A_quote_is_an_interval_whatever_the_rules() =>
        Gen.Select(Gen.Int[0, 90_000], Gen.Int[0, 100], Gen.Int[1, 9_999], Gen.Long[0, 3_000], Gen.Int[0, 2].Select(i => Bases[i]), Gen.Bool)
            .Sample((wattHours, width, room, minimum, basis, listed) =>
            {
                var rules = new CostRules(basis, CostBasis.Equal, minimum, UnusedSpace.Studio)
                {
                    Prices = listed ? new ListPrices(new Dictionary<FiringKind, decimal> { [FiringKind.Glaze] = 1.3m }, 90) : null,
                };
                var quote = FiringQuote.Of(Basis with { Rules = rules, Uses = [Uses[0], new MemberUse("c", 1, 1, room, 7)] }, CostSplitTests.Euro,
                    new EnergyAssumption(wattHours / 1000m, width, ""), "c").Value;
                return new[] { quote.Charged, quote.Metered, quote.Difference }.All(r => r.LowMinor <= r.LikelyMinor && r.LikelyMinor <= r.HighMinor);
            });

    private static readonly CostRules Equal = new(CostBasis.Equal, CostBasis.Equal, 0, UnusedSpace.Spread);

    private static FiringQuote Quote(FiringCostBasis basis, string member) => FiringQuote.Of(basis, CostSplitTests.Euro, Fifty, member).Value;
}
