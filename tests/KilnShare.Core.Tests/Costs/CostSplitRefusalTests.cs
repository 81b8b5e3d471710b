using KilnShare.Core.Costs;

namespace KilnShare.Core.Tests.Costs;

public sealed class CostSplitRefusalTests
{
    private static readonly CostSplitRequest Good = new(
        CostSplitTests.Euro,
        [new("energy", 2750, CostBasis.Volume)],
        [new("a", 3, 240, 9600, 2100, 2.314m, [120, 0, 85]), new("b", 2, 90, 3600, 900, 0.9m, [0, 110, 85])]);

    public static TheoryData<CostSplitRequest, string, string> Refused => new()
    {
        { Good with { Members = [] }, "costs.no-members", "/members" },
        { Good with { Parts = [] }, "costs.no-parts", "/parts" },
        { WithB(b => b with { Id = "a" }), "costs.duplicate-id", "/members/1/id" },
        { WithB(b => b with { Id = "" }), "costs.no-id", "/members/1/id" },
        { WithB(b => b with { MassG = -1 }), "costs.below-zero", "/members/1/massG" },
        { WithB(b => b with { MassG = 0.0001m }), "costs.too-many-decimals", "/members/1/massG" },
        { WithB(b => b with { VolumeCm3 = 1_000_000_000_001m }), "costs.too-large", "/members/1/volumeCm3" },
        { WithB(b => b with { VolumeCm3 = null }), "costs.weight-missing", "/members/1/volumeCm3" },
        { WithB(b => b with { LevelHeightsMm = [1, -2] }), "costs.below-zero", "/members/1/levelHeightsMm/1" },
        { WithB(b => b with { LevelHeightsMm = [0, 110] }) with { Parts = [new("x", 1, CostBasis.LevelHeight)] }, "costs.levels-differ",
            "/members/1/levelHeightsMm" },
        { WithB(b => b with { LevelHeightsMm = null }) with { Parts = [new("x", 1, CostBasis.LevelHeight)] }, "costs.weight-missing",
            "/members/1/levelHeightsMm" },
        { WithPart(new("x", 1, CostBasis.Kwh)), "costs.energy-missing", "/parts/1/energyKwh" },
        { WithPart(new("x", 1, CostBasis.Direct, "c")), "costs.unknown-member", "/parts/1/to" },
        { WithPart(new("x", 1, CostBasis.Direct)), "costs.to-missing", "/parts/1/to" },
        { WithPart(new("x", 1, CostBasis.Equal, "a")), "costs.to-without-direct", "/parts/1/to" },
        { WithPart(new("minimum", 1, CostBasis.Equal)), "costs.reserved-name", "/parts/1/name" },
        { WithPart(new("", 1, CostBasis.Equal)), "costs.no-name", "/parts/1/name" },
        { WithPart(new("x", long.MinValue, CostBasis.Equal)), "costs.too-large", "/parts/1/amountMinor" },
        { Good with { UnusedSpace = UnusedSpace.Studio }, "costs.capacity-missing", "/capacityCm3" },
        { Good with { CapacityCm3 = -1 }, "costs.below-zero", "/capacityCm3" },
        { Good with { MinimumMinor = -1 }, "costs.minimum-out-of-range", "/minimumMinor" },
        { Good with { MinimumMinor = 1376 }, "costs.minimum-above-total", "/minimumMinor" },
        { Good with { Members = Good.Members.Select(m => m with { Pieces = 0 }).ToArray(), Parts = [new("x", 1, CostBasis.Pieces)] }, "costs.all-weights-zero",
            "/parts/0/basis" },
        { Good with { Members = Good.Members.Select(m => m with { VolumeCm3 = 0 }).ToArray(), Parts = [new("x", 1, CostBasis.Kwh, EnergyKwh: 9)] },
            "costs.all-weights-zero", "/parts/0/basis" },
    };

    [Theory]
    [MemberData(nameof(Refused), DisableDiscoveryEnumeration = true)]
    public void What_is_wrong_is_refused_where_it_is(CostSplitRequest request, string code, string pointer)
    {
        var refusal = CostSplit.Split(request).Refusal!;
        Assert.Equal((code, pointer), (refusal.Code, refusal.Pointer));
    }

    [Fact]
    public void A_minimum_that_just_fits_is_taken()
    {
        var answer = CostSplit.Split(Good with { MinimumMinor = 1375 }).Value;
        Assert.Equal([1375, 1375], answer.Shares.Select(s => s.AmountMinor));
    }

    [Fact]
    public void What_no_part_asks_for_may_be_absent() =>
        Assert.Null(CostSplit.Split(Good with { Members = [new("a", VolumeCm3: 1), new("b", VolumeCm3: 2)] }).Refusal);

    private static CostSplitRequest WithB(Func<MemberUse, MemberUse> change) => Good with { Members = [Good.Members[0], change(Good.Members[1])] };

    private static CostSplitRequest WithPart(CostPart part) => Good with { Parts = [.. Good.Parts, part] };

    [Fact]
    public void What_cannot_be_divided_is_named_with_another_way() => Assert.Equal(
        "The part x cannot be divided by pieces: everybody has 0 of it. Take another basis, for instance equal.",
        CostSplit.Split(
            Good with { Members = Good.Members.Select(m => m with { Pieces = 0 }).ToArray(), Parts = [new("x", 1, CostBasis.Pieces)] }).Refusal!.Message);
}
