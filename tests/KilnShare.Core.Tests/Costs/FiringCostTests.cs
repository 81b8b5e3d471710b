using CsCheck;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Costs;

public sealed class FiringCostTests
{
    private static readonly CostBasis[] Bases = [CostBasis.Equal, CostBasis.Pieces, CostBasis.Footprint, CostBasis.Volume, CostBasis.Mass];

    private static readonly MemberUse[] Uses = [new("a", 3, 240, 9600, 2100), new("b", 2, 90, 3600, 900)];

    private static readonly FiringCostBasis Basis = new("f", FiringKind.Glaze, FiringOutcome.Sound, 0.55m, 500, Uses, [], CostRules.Usual, 20_000);

    private static readonly Gen<CostRules> AnyRules =
        from energy in Gen.Int[0, 4].Select(i => Bases[i])
        from wear in Gen.Int[0, 4].Select(i => Bases[i])
        from minimum in Gen.Long[0, 4_000]
        from space in Gen.Enum<UnusedSpace>()
        from failed in Gen.Int[0, 100]
        from discount in Gen.Int[1, 100]
        from each in Gen.Long[-900, 900]
        from listed in Gen.Bool
        from perLitre in Gen.Int[0, 5_000]
        select new CostRules(energy, wear, minimum, space)
        {
            Surcharges = [new Surcharge("catcher", each)],
            Discounts = [new MemberDiscount("b", discount)],
            Failed = new ChargePolicy(failed, failed, failed),
            Prices = listed ? new ListPrices(new Dictionary<FiringKind, decimal> { [FiringKind.Glaze] = perLitre / 1000m }, 50) : null,
        };

    // 50 kWh at 0.55 are 27.50; the published example of the contract: 2000 and 750 by room, wear 250 each.
    [Fact]
    public void The_usual_rules_divide_energy_by_room_and_wear_equally()
    {
        var cost = FiringCost.Of(Basis, CostSplitTests.Euro, 50).Value;
        Assert.Equal([2250L, 1000L], cost.Charged.Shares.Select(s => s.AmountMinor));
        Assert.Same(cost.Metered, cost.Charged);
    }

    // 50 kWh were billed at 30.01 with fixed parts; 25 kWh are half of it, 15.005, and round away from zero.
    [Fact]
    public void A_bill_by_the_clock_takes_the_place_of_the_flat_price()
    {
        long Energy(BilledEnergy bill, decimal kwh) => FiringCost.Of(Basis with { Billed = bill }, CostSplitTests.Euro, kwh).Value.Request.Parts[0].AmountMinor;
        Assert.Equal([3001L, 1501L, 6002L], new[] { 50m, 25m, 100m }.Select(kwh => Energy(new BilledEnergy(50, 3001), kwh)));
        Assert.Equal(120, Energy(new BilledEnergy(0, 120), 7));
    }

    [Fact]
    public void Whatever_the_rules_the_shares_are_the_cost_and_every_share_its_parts() =>
        Gen.Select(AnyRules, Gen.Enum<FiringOutcome>(), Gen.Int[0, 200_000], Gen.Int[0, 3]).Sample((rules, outcome, wattHours, catchers) =>
        {
            var basis = Basis with { Rules = rules, Outcome = outcome, SurchargeUses = [new SurchargeUse("a", "catcher", catchers)] };
            var cost = FiringCost.Of(basis, CostSplitTests.Euro, wattHours / 1000m).Value;
            var total = cost.Request.Parts.Sum(p => p.AmountMinor);
            foreach (var split in new[] { cost.Metered, cost.Charged })
            {
                Assert.Equal((total, total), (split.TotalMinor, split.Shares.Sum(s => s.AmountMinor)));
                Assert.All(split.Shares, s => Assert.Equal(s.AmountMinor, s.Parts.Sum(p => p.AmountMinor)));
                Assert.Equal(split.Shares.Count, split.Shares.Select(s => s.Id).Distinct(StringComparer.Ordinal).Count());
            }

            Assert.All(CostSentences.Reasons(basis, cost).Values, reason => Assert.NotEmpty(reason));
        });

    [Fact]
    public void The_order_of_members_and_their_names_change_nothing() => Gen.Select(AnyRules, Gen.Int[0, 200_000]).Sample((rules, wattHours) =>
    {
        var basis = Basis with { Rules = rules with { Discounts = [] } };
        var cost = FiringCost.Of(basis, CostSplitTests.Euro, wattHours / 1000m).Value.Charged.Shares;
        var turned = FiringCost.Of(basis with { Uses = [Uses[1], Uses[0]] }, CostSplitTests.Euro, wattHours / 1000m).Value.Charged.Shares;
        Assert.Equal(cost[0].AmountMinor, turned[1].AmountMinor);
        Assert.Equal(cost[1].AmountMinor, turned[0].AmountMinor);
    });

    [Fact]
    public void A_discount_is_rounded_once_and_borne_by_the_studio()
    {
        var answer = new CostSplitAnswer([new("a", false, 105, [new("energy", 105)]), new("b", false, -40, [new("credit", -40)])], 65, []);
        CostSplitAnswer Apply(params MemberDiscount[] discounts) => Discounts.Apply(answer, answer, CostRules.Usual with { Discounts = discounts }, Uses, 0);
        var applied = Apply(new("a", 10), new("b", 50));
        // A tenth of 105 is 10.5 and rounds away from zero to 11; a share in credit is left alone.
        Assert.Equal([94L, -40L, 11L], applied.Shares.Select(s => s.AmountMinor));
        Assert.Equal(new SharePart(Discounts.Part, -11), applied.Shares[0].Parts[^1]);
        Assert.Equal((true, 65L), (applied.Shares[2].Studio, applied.TotalMinor));
        Assert.Same(answer, Apply(new MemberDiscount("c", 10)));
    }

    [Fact]
    public void A_discount_joins_what_the_studio_bears_already()
    {
        var answer = new CostSplitAnswer([new("a", false, 100, [new("energy", 100)]), new(null, true, 30, [new("energy", 30)])], 130, []);
        var studio = Discounts.Apply(answer, answer, CostRules.Usual with { Discounts = [new("a", 100)] }, Uses, 0).Shares.Single(s => s.Studio);
        Assert.Equal([new SharePart("energy", 30), new SharePart(Discounts.Part, 100)], studio.Parts);
    }

    [Fact]
    public void List_prices_are_scaled_when_a_firing_failed_and_surcharges_stay_whole()
    {
        var rules = CostRules.Usual with
        {
            Surcharges = [new Surcharge("catcher", 150)],
            Failed = new ChargePolicy(50, 100, 0),
            Prices = new ListPrices(new Dictionary<FiringKind, decimal> { [FiringKind.Glaze] = 2m }, 0),
        };
        var cost = FiringCost.Of(
            Basis with { Rules = rules, Outcome = FiringOutcome.Short, SurchargeUses = [new("a", "catcher", 2)] }, CostSplitTests.Euro, 50).Value;
        // 9.6 l and 3.6 l at 2.00 are 19.20 and 7.20; half of them 9.60 and 3.60, and 3.00 for two catchers.
        Assert.Equal([960 + 300, 360, 2750 + 500 + 300 - 960 - 300 - 360], cost.Charged.Shares.Select(s => s.AmountMinor));
        Assert.Equal(
            [new SharePart(PriceList.ListPart, 960), new SharePart("catcher", 300)], cost.Charged.Shares[0].Parts);
    }

    [Fact]
    public void A_kind_without_a_list_price_goes_by_the_meter()
    {
        var rules = CostRules.Usual with { Prices = new ListPrices(new Dictionary<FiringKind, decimal> { [FiringKind.Bisque] = 2m }, 0) };
        Assert.False(FiringCost.IsByList(Basis with { Rules = rules }));
        Assert.Equal(2250, FiringCost.Of(Basis with { Rules = rules }, CostSplitTests.Euro, 50).Value.Charged.Shares[0].AmountMinor);
    }

    [Theory]
    [InlineData(FiringKind.Bisque, 250)]
    [InlineData(FiringKind.Glaze, 500)]
    public void Wear_goes_by_the_kind_of_firing(FiringKind kind, long expected) =>
        Assert.Equal(expected, (CostRules.Usual with { WearRates = [new WearRate(FiringKind.Bisque, 50)] }).WearMinor(500, kind));

    [Fact]
    public void A_minimum_nobody_can_be_asked_is_lowered_and_said()
    {
        var cost = FiringCost.Of(Basis with { Rules = CostRules.Usual with { MinimumMinor = 9_999 } }, CostSplitTests.Euro, 50).Value;
        Assert.Equal([1625L, 1625L], cost.Charged.Shares.Select(s => s.AmountMinor));
        Assert.Equal("costs.minimum-lowered", Assert.Single(cost.Charged.Notes).Code);
        Assert.Empty(FiringCost.Of(Basis with { Rules = CostRules.Usual with { MinimumMinor = 10 } }, CostSplitTests.Euro, 50).Value.Charged.Notes);
    }

    // A cylinder: π·r²·h; a box: w·d·h; an octagon of 400 across its flats: 0.828427·a² (plane geometry). Walls and lid taken off first.
    [Fact]
    public void A_kiln_holds_what_its_walls_and_lid_leave()
    {
        Chamber Of(Footprint footprint) => new(footprint, Length.OfMm(685), Length.OfMm(25), Length.OfMm(12));
        Assert.Equal(Math.PI * 26.75 * 26.75 * 67.3, (double)KilnCapacity.Cm3(Of(new Footprint.Circle(Length.OfMm(585)))), 2);
        Assert.Equal(35.0 * 25 * 67.3, (double)KilnCapacity.Cm3(Of(new Footprint.Rectangle(Length.OfMm(400), Length.OfMm(300)))), 2);
        Assert.Equal(0.8284271247 * 35 * 35 * 67.3, (double)KilnCapacity.Cm3(Of(new Footprint.Octagon(Length.OfMm(400)))), 2);
        Assert.Equal(0, KilnCapacity.Cm3(Of(new Footprint.Circle(Length.OfMm(585))) with { Height = Length.OfMm(10) }));
    }

    // 11.52 kW at half duty for 9 h is 51.84 kWh (a published worked cost counts 0.50 for its bisque hours).
    [Fact]
    public void Without_a_metered_firing_the_plate_is_asked()
    {
        Assert.Equal((51.84m, 30m), Figures(EnergyAssumption.Of([], 11.52m, 9, FiringKind.Bisque)));
        Assert.Equal((67.392m, 30m), Figures(EnergyAssumption.Of([], 11.52m, 9, FiringKind.Glaze)));
        Assert.Null(EnergyAssumption.Of([], null, 9, FiringKind.Glaze));
    }

    [Fact]
    public void Metered_firings_give_their_mean_and_how_far_they_lie_apart()
    {
        Assert.Equal((60m, 20m), Figures(EnergyAssumption.Of([60], 11.52m, 9, FiringKind.Glaze)));
        Assert.Equal((60m, 10m), Figures(EnergyAssumption.Of([58, 62], 11.52m, 9, FiringKind.Glaze)));
        Assert.Equal((60m, 25m), Figures(EnergyAssumption.Of([45, 75], null, 9, FiringKind.Glaze)));
        Assert.Equal((0m, 10m), Figures(EnergyAssumption.Of([0, 0], null, 9, FiringKind.Glaze)));
    }

    // Minor digits by ISO 4217: yen none, euro two, Kuwaiti dinar three.
    [Theory]
    [InlineData(0, "EUR", "0.00")]
    [InlineData(-5, "EUR", "-0.05")]
    [InlineData(123456, "EUR", "1234.56")]
    [InlineData(-1234, "JPY", "-1234")]
    [InlineData(1005, "KWD", "1.005")]
    public void Money_reads_with_the_digits_of_its_currency(long minor, string currency, string expected) =>
        Assert.Equal(expected, MoneyText.Of(minor, Currency.Parse(currency)!.Value));

    private static (decimal, decimal) Figures(EnergyAssumption? energy) => (energy!.Kwh, energy.HalfWidthPercent);
}
