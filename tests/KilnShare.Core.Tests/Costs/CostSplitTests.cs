using System.Security.Cryptography;
using System.Text;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;

namespace KilnShare.Core.Tests.Costs;

public sealed class CostSplitTests
{
    internal static readonly Currency Euro = Currency.Parse("EUR")!.Value;

    private static readonly MemberUse A = new("a", 3, 240, 9600, 2100, 2.314m, [120, 0, 85]);
    private static readonly MemberUse B = new("b", 2, 90, 3600, 900, 0.9m, [0, 110, 85]);

    [Fact]
    public void The_example_of_the_contract_comes_out_to_the_cent()
    {
        var answer = Split([new("energy", 2750, CostBasis.Volume), new("wear", 500, CostBasis.Equal), new("stilts", 200, CostBasis.Direct, "a")]);
        Assert.Equal(3450, answer.TotalMinor);
        Assert.True(answer.Shares is [{ Id: "a" }, { Id: "b" }]);
        Assert.Equal([2450, 1000], answer.Shares.Select(s => s.AmountMinor));
        Assert.Equal([new("energy", 2000), new("wear", 250), new("stilts", 200)], answer.Shares[0].Parts);
        Assert.Equal([new("energy", 750), new("wear", 250)], answer.Shares[1].Parts);
        Assert.All(answer.Shares, s => Assert.False(s.Studio));
    }

    // Exact shares by hand: pieces 3:2, footprint 240:90, mass 2100:900, levels 325:305 (half of 85 each), all of 10,000.
    [Theory]
    [InlineData(CostBasis.Equal, 5000)]
    [InlineData(CostBasis.Pieces, 6000)]
    [InlineData(CostBasis.Footprint, 7273)]
    [InlineData(CostBasis.Volume, 7273)]
    [InlineData(CostBasis.Mass, 7000)]
    [InlineData(CostBasis.LevelHeight, 5159)]
    public void Each_basis_divides_by_its_own_measure(CostBasis basis, long first) =>
        Assert.Equal([first, 10_000 - first], Split([new("x", 10_000, basis)]).Shares.Select(s => s.AmountMinor));

    [Fact]
    public void Energy_is_own_heat_and_the_rest_by_volume()
    {
        // By hand: 30 kWh; 26.786 left after own heat; a bears 2.314 + 26.786 × 9600 / 13200 = 21.795 kWh.
        var answer = Split([new("energy", 30_000, CostBasis.Kwh, EnergyKwh: 30m)]);
        Assert.Equal([21_795, 8_205], answer.Shares.Select(s => s.AmountMinor));
        Assert.Empty(answer.Notes);
    }

    [Fact]
    public void Own_heat_above_the_meter_divides_alone_and_says_so()
    {
        var answer = Split([new("energy", 3214, CostBasis.Kwh, EnergyKwh: 3m)]);
        Assert.Equal([2314, 900], answer.Shares.Select(s => s.AmountMinor));
        Assert.Equal("costs.own-heat-above-energy", Assert.Single(answer.Notes).Code);
        Assert.Equal(
            "The heat of the ware adds up to 3.214 kWh, more than the 3 kWh metered: divided by own heat alone. Check the meter readings.",
                answer.Notes[0].Message);
        Assert.Empty(Split([new("energy", 3214, CostBasis.Kwh, EnergyKwh: 3.214m)]).Notes);
    }

    [Fact]
    public void The_studio_bears_unused_space_in_parts_by_volume_only()
    {
        var answer = Split(
            [new("energy", 2640, CostBasis.Volume), new("wear", 500, CostBasis.Equal)],
            r => r with { UnusedSpace = UnusedSpace.Studio, CapacityCm3 = 26_400 });
        Assert.Equal([960 + 250, 360 + 250, 1320], answer.Shares.Select(s => s.AmountMinor));
        Assert.True(answer.Shares[2] is { Id: null, Studio: true });
        Assert.Equal([new("energy", 1320)], answer.Shares[2].Parts);
    }

    [Fact]
    public void More_ware_than_capacity_leaves_the_studio_nothing_to_bear()
    {
        var answer = Split([new("energy", 2750, CostBasis.Volume)], r => r with { UnusedSpace = UnusedSpace.Studio, CapacityCm3 = 13_000 });
        Assert.Equal([2000, 750, 0], answer.Shares.Select(s => s.AmountMinor));
        Assert.Equal("costs.over-capacity", Assert.Single(answer.Notes).Code);
        Assert.Equal("The ware takes 13200 cm³, more than the capacity of 13000 cm³: nothing counts as unused.", answer.Notes[0].Message);
        Assert.Empty(Split([new("energy", 2750, CostBasis.Volume)], r => r with { UnusedSpace = UnusedSpace.Studio, CapacityCm3 = 13_200 }).Notes);
    }

    [Fact]
    public void The_odd_cent_goes_to_the_lowest_hash_of_seed_and_id()
    {
        foreach (var seed in Enumerable.Range(0, 20).Select(i => $"firing-{i}"))
        {
            var lowest = new[] { "a", "b" }.MinBy(id => Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(seed + "\n" + id))), StringComparer.Ordinal);
            var answer = Split([new("wear", 1, CostBasis.Equal)], r => r with { TieSeed = seed });
            Assert.Equal(lowest, answer.Shares.Single(s => s.AmountMinor == 1).Id);
        }
    }

    [Fact]
    public void The_odd_cent_is_not_always_the_same_member_s() =>
        Assert.Equal(2, Enumerable.Range(0, 20)
            .Select(i => Split([new("wear", 1, CostBasis.Equal)], r => r with { TieSeed = $"{i}" }).Shares.Single(s => s.AmountMinor == 1).Id)
            .Distinct(StringComparer.Ordinal).Count());

    [Fact]
    public void As_many_members_as_there_can_be_and_the_largest_amounts_are_split_exactly_on_every_basis()
    {
        var members = Enumerable.Range(0, CostLimits.MostMembers).Select(i => new MemberUse(
            $"m{i}", 1 + i % 7, CostLimits.MostWeight - i, CostLimits.MostWeight - 2 * i, CostLimits.MostWeight - 3 * i, i / 1000m,
            [i % 997 / 10m, i % 991 / 10m, i % 3])).ToArray();
        var parts = Enum.GetValues<CostBasis>().Where(b => b != CostBasis.Direct)
            .Select(b => new CostPart(b.ToString(), CostLimits.MostMinor - 1, b, EnergyKwh: CostLimits.MostWeight)).ToArray();
        var answer = CostSplit.Split(new CostSplitRequest(Euro, parts, members, MinimumMinor: 1_000)).Value;
        Assert.Equal(7 * (CostLimits.MostMinor - 1), answer.TotalMinor);
        Assert.Equal(answer.TotalMinor, answer.Shares.Sum(s => s.AmountMinor));
    }

    [Fact]
    public void Every_basis_has_a_sentence_of_its_own() =>
        Assert.Equal(8, Enum.GetValues<CostBasis>().Select(SplitReasons.Sentence).Distinct(StringComparer.Ordinal).Count());

    private static CostSplitAnswer Split(CostPart[] parts, Func<CostSplitRequest, CostSplitRequest>? change = null)
    {
        var request = new CostSplitRequest(Euro, parts, [A, B]);
        return CostSplit.Split(change is null ? request : change(request)).Value;
    }
}
