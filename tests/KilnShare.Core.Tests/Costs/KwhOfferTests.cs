using KilnShare.Core.Costs;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Tests.Costs;

public sealed class KwhOfferTests
{
    private static readonly CostRules ByKwh = new(CostBasis.Kwh, CostBasis.Equal, 0, UnusedSpace.Spread);

    // Own heat 2 and 6 kWh; of 50 kWh the other 42 by room 96 to 36: a 2 + 30.545 = 32.545, b 17.455 of 50.
    private static readonly FiringCostBasis Basis = new(
        "f", FiringKind.Glaze, FiringOutcome.Sound, 0.50m, 0,
        [new MemberUse("a", 1, 1, 9600, 1, 2), new MemberUse("b", 1, 1, 3600, 1, 6)], [], ByKwh, 20_000);

    [Theory]
    [InlineData(0, 1818)]
    [InlineData(2, 1818)]
    [InlineData(3, 1627)]
    [InlineData(null, 1627)]
    public void Energy_goes_by_room_until_the_kiln_is_learnt_and_then_by_heat(int? firings, long expected)
    {
        var cost = FiringCost.Of(Basis with { LearntFirings = firings }, CostSplitTests.Euro, 50).Value;
        Assert.Equal([expected, 2500 - expected], cost.Charged.Shares.Select(s => s.AmountMinor));
    }

    [Fact]
    public void Members_are_told_why_room_holds_instead()
    {
        var note = Assert.Single(FiringCost.Of(Basis with { LearntFirings = 1 }, CostSplitTests.Euro, 50).Value.Metered.Notes);
        Assert.Equal(("costs.kiln-not-learnt", "energy"), (note.Code, note.Part));
        Assert.Contains("1 of the 3 metered firings", note.Message, StringComparison.Ordinal);
        Assert.Empty(FiringCost.Of(Basis with { LearntFirings = 3 }, CostSplitTests.Euro, 50).Value.Metered.Notes);
        Assert.Empty(FiringCost.Of(Basis with { LearntFirings = 1, Rules = CostRules.Usual }, CostSplitTests.Euro, 50).Value.Metered.Notes);
    }
}
