using CsCheck;
using KilnShare.Core.Costs;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Tests.Costs;

public sealed class FillOutlookTests
{
    private static readonly MemberUse[] Uses = [new("a", 3, 240, 9600, 2100, 1.2m, [100, 0]), new("b", 2, 90, 2400, 900, 0.4m, [0, 80])];

    private static readonly FiringCostBasis Basis = new("f", FiringKind.Glaze, FiringOutcome.Sound, 0.55m, 500, Uses, [], CostRules.Usual, 100_000);

    private static readonly CostBasis[] Bases = [CostBasis.Equal, CostBasis.Volume, CostBasis.Mass, CostBasis.LevelHeight, CostBasis.Kwh, CostBasis.Pieces,
        CostBasis.Footprint];

    // Of 20, 48 and 30 l the middle one is 30 l, of 3, 5 and 4 members 4; the fullest, 48 l, is less than six tenths of 100 l.
    [Fact]
    public void Likely_is_the_middle_of_the_past_and_full_what_the_kiln_takes()
    {
        var outlook = FillOutlook.Of([new(20_000, 3), new(48_000, 5), new(30_000, 4)], 100_000, Uses);
        Assert.Equal((30_000m, 4, 60_000m, 5, 3), (outlook.LikelyCm3, outlook.LikelyMembers, outlook.FullCm3, outlook.FullMembers, outlook.Firings));
        Assert.Equal(80_000, FillOutlook.Of([new(80_000, 3)], 100_000, Uses).FullCm3);
    }

    [Fact]
    public void Without_a_past_likely_is_what_is_booked_and_less_than_that_it_never_is()
    {
        Assert.Equal((12_000m, 2), (FillOutlook.Of([], 100_000, Uses).LikelyCm3, FillOutlook.Of([], 100_000, Uses).LikelyMembers));
        Assert.Contains("nobody knows", FillOutlook.Of([], 100_000, Uses).Sentence, StringComparison.Ordinal);
        Assert.Equal((12_000m, 2), (FillOutlook.Of([new(900, 9)], 100_000, Uses).LikelyCm3, FillOutlook.Of([new(900, 9)], 100_000, Uses).LikelyMembers));
    }

    // 12 l are booked by two; to 30 l by four two join, with 9 l each: 1.5 times half of all that is booked.
    [Fact]
    public void Who_joins_is_like_those_who_are_there()
    {
        var joined = FillOutlook.Joined(Uses, 30_000, 4, "a");
        Assert.Equal(30_000, joined.Sum(u => u.VolumeCm3));
        Assert.Equal(new MemberUse("joining-1", 4, 247.5m, 9_000, 2_250, 1.2m, joined[2].LevelHeightsMm), joined[2]);
        Assert.Equal([100m, 80m], joined[2].LevelHeightsMm!);
        Assert.Same(Uses, FillOutlook.Joined(Uses, 12_000, 2, "a"));
        // Where nobody more joins, b has 8.4 l more in it: 10.8 l, 4.5 times as much.
        Assert.Equal([Uses[0], Uses[1] with { Pieces = 9, FootprintCm2 = 405, VolumeCm3 = 10_800, MassG = 4_050, OwnHeatKwh = 1.8m }], FillOutlook.Joined(
            Uses, 20_400, 2, "a"));
    }

    // 50 kWh at 0.55 are 27.50 and wear 5.00. Booked: 9.6 of 12 l, 2200, and 250. In 30 l with four: 880 and 125. In 60 l with four: 440 and 125.
    [Fact]
    public void A_quote_reaches_from_a_full_kiln_to_what_is_booked_and_names_the_likely_one()
    {
        var fifty = new EnergyAssumption(50, 0, "");
        QuoteCase Case(decimal volume) => new(Basis with { Uses = FillOutlook.Joined(Uses, volume, 4, "a") }, fifty);
        var quote = FiringQuote.Of(Case(30_000), new QuoteCase(Basis, fifty), Case(60_000), CostSplitTests.Euro, "a").Value;
        Assert.Equal(new MinorRange(440 + 125, 880 + 125, 2200 + 250), quote.Charged);
        Assert.InRange(quote.LikelyFor(4_800), 502, 503);
        Assert.Equal(2450, FiringQuote.ShareOf(quote.Booked.Charged, "a"));
        Assert.Equal(565, FiringQuote.ShareOf(quote.Full.Charged, "a"));
    }

    [Fact]
    public void Whatever_the_rules_the_likely_share_lies_in_the_range_and_a_kiln_that_fills_up_costs_no_more() =>
        Gen.Select(Gen.Int[0, 6].Select(i => Bases[i]), Gen.Int[1, 90_000], Gen.Int[0, 50], Gen.Int[12_000, 90_000], Gen.Int[1, 8])
            .Sample((basis, wattHours, width, room, members) =>
        {
            var energy = new EnergyAssumption(wattHours / 1000m, width, "");
            var outlook = FillOutlook.Of([new(room, members)], 100_000, Uses);
            QuoteCase Case(decimal volume, int by) => new(
                Basis with { Rules = new CostRules(basis, CostBasis.Equal, 0, UnusedSpace.Spread), Uses = FillOutlook.Joined(Uses, volume, by, "a") }, energy);
            var quote = FiringQuote.Of(
                Case(outlook.LikelyCm3, outlook.LikelyMembers), Case(12_000, 2), Case(outlook.FullCm3, outlook.FullMembers), CostSplitTests.Euro, "a").Value;
            Assert.True(quote.Charged.LowMinor <= quote.Charged.LikelyMinor && quote.Charged.LikelyMinor <= quote.Charged.HighMinor, $"{quote.Charged}");
            // An odd cent may fall to the other side.
            Assert.True(quote.Charged.LikelyMinor <= FiringQuote.ShareOf(quote.Booked.Charged, "a") + 2, $"{quote.Charged}");
        });
}
