using CsCheck;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Core.Tests.Costs;

public sealed class ChargesTests
{
    private static readonly MemberUse[] Members = [new("a", VolumeCm3: 9600), new("b", VolumeCm3: 3600)];

    private static readonly CostSplitRequest Request = new(
        CostSplitTests.Euro,
        [new("energy", 2750, CostBasis.Volume), new("wear", 501, CostBasis.Equal), new("stilts", 200, CostBasis.Direct, "a")],
        Members);

    private static readonly PriceList List = new(
        CostSplitTests.Euro, new Dictionary<FiringKind, decimal> { [FiringKind.Bisque] = 1.25m, [FiringKind.Glaze] = 2.105m }, 300);

    [Fact]
    public void Surcharges_and_credits_go_to_the_member_who_caused_them()
    {
        var parts = Surcharges.Parts(
            [new("catcher", 150), new("unloading", -400)],
            [new("a", "catcher", 2), new("b", "unloading", 1), new("b", "catcher", 0)]).Value;
        Assert.Equal([new("catcher", 300, CostBasis.Direct, "a"), new("unloading", -400, CostBasis.Direct, "b")], parts);
    }

    [Fact]
    public void A_surcharge_nobody_listed_is_refused() =>
        Assert.Equal(("costs.unknown-surcharge", "/surcharges/0/name"), Place(Surcharges.Parts([new("catcher", 150)], [new("a", "stilt", 1)]).Refusal!));

    [Theory]
    [InlineData(FiringKind.Bisque, 9600, 1200)]
    [InlineData(FiringKind.Glaze, 9600, 2021)]
    [InlineData(FiringKind.Glaze, 100, 300)]
    [InlineData(FiringKind.Glaze, 0, 0)]
    public void A_list_price_is_volume_times_rate_rounded_once_with_a_least_charge(FiringKind kind, int volumeCm3, long expected) =>
        Assert.Equal(expected, List.ChargeMinor(kind, volumeCm3));

    [Fact]
    public void By_the_list_the_studio_bears_or_keeps_the_difference()
    {
        // 9.6 l and 3.6 l at 2.105: 20.208 → 20.21 and 7.578 → 7.58.
        var dear = List.Split(FiringKind.Glaze, Members, 3450).Value;
        Assert.Equal([2021, 758, 671], dear.Shares.Select(s => s.AmountMinor));
        var cheap = List.Split(FiringKind.Glaze, Members, 2000).Value;
        Assert.Equal(-779, cheap.Shares.Single(s => s.Studio).AmountMinor);
        Assert.Equal(2000, cheap.Shares.Sum(s => s.AmountMinor));
    }

    [Fact]
    public void A_kind_without_a_price_is_refused() =>
        Assert.Equal("costs.no-list-price", List.Split(FiringKind.Overglaze, Members, 1).Refusal!.Code);

    [Fact]
    public void Of_a_failed_firing_members_bear_what_the_policy_says_and_what_they_used_up()
    {
        // Half of 2750 is 1375, by 96:36 1000 and 375; half of 501 rounds up to 251; stilts stay whole.
        var answer = ChargePolicy.Split(Request with { TieSeed = "x" }, 50).Value;
        Assert.Equal(3451, answer.TotalMinor);
        Assert.Equal(3451, answer.Shares.Sum(s => s.AmountMinor));
        Assert.Equal([new SharePart("not-charged", 3451 - 1375 - 251 - 200)], answer.Shares.Single(s => s.Studio).Parts);
        Assert.Equal(200 + 1000, answer.Shares[0].Parts.Where(p => p.Name is not "wear").Sum(p => p.AmountMinor));
    }

    [Theory]
    [InlineData(72, 0)]
    [InlineData(48, 500)]
    [InlineData(25, 500)]
    [InlineData(24, 1000)]
    [InlineData(-1, 1000)]
    public void The_later_a_withdrawal_the_more_it_costs(int hoursBefore, long expected)
    {
        var policy = new WithdrawalPolicy([new(48, 50), new(24, 100)]);
        Assert.Equal(expected, policy.FeeMinor(1000, Duration.FromHours(hoursBefore)));
    }

    [Fact]
    public void Damage_is_made_good_to_each_who_lost_but_not_to_oneself()
    {
        var entries = new Incident("i1", "a", [new(null, 4500, "shelf"), new("b", 2000, "ware"), new("a", 900, "ware")])
            .Entries(Instant.FromUtc(2026, 3, 1, 12, 0), CostSplitTests.Euro);
        var balances = Ledger.Balances(entries);
        Assert.Equal(6500, balances[(Account.OfMember("a"), CostSplitTests.Euro)]);
        Assert.Equal(-2000, balances[(Account.OfMember("b"), CostSplitTests.Euro)]);
        Assert.Equal(-4500, balances[(Account.StudioShare, CostSplitTests.Euro)]);
    }

    // Makers' published lives: elements at cone 6 last 150 to 350 firings, a thermocouple at cone 10 about 20.
    [Fact]
    public void Wear_is_the_replacement_over_the_middle_of_its_life()
    {
        Assert.Equal(100, Wear.PerFiringMinor(25_000, WearPart.Elements, WearHeat.Middle));
        Assert.Equal(200, Wear.PerFiringMinor(4_000, WearPart.ThermocoupleK, WearHeat.High));
    }

    [Theory]
    [InlineData("8.2944", "EUR", 829)]
    [InlineData("8.295", "EUR", 830)]
    [InlineData("-8.295", "EUR", -830)]
    [InlineData("8.5", "JPY", 9)]
    [InlineData("8.2945", "KWD", 8295)]
    public void Money_is_rounded_once_half_away_from_zero(string major, string currency, long expected) =>
        Assert.Equal(expected, MinorUnits.Of(decimal.Parse(major), Currency.Parse(currency)!.Value));

    private static (string, string?) Place(Refusal refusal) => (refusal.Code, refusal.Pointer);
}
