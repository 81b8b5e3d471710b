using System.Numerics;
using CsCheck;
using KilnShare.Core.Costs;

namespace KilnShare.Core.Tests.Costs;

public sealed class ApportionmentTests
{
    private static readonly Gen<long[]> Weights = Gen.Long[0, 1_000_000_000].Array[1, 30].Where(w => w.Sum() > 0);

    // The first two are published worked examples of largest remainders (in the second 28.5 stays 28), the rest arithmetic.
    [Theory]
    [InlineData(42, new long[] { 247, 185, 459, 400, 413 }, new long[] { 6, 5, 11, 10, 10 })]
    [InlineData(250, new long[] { 1003200, 1228600, 4990700, 813000, 764500 }, new long[] { 28, 35, 142, 23, 22 })]
    [InlineData(1000, new long[] { 1, 1, 1 }, new long[] { 334, 333, 333 })]
    [InlineData(2750, new long[] { 96, 36, 300, 225 }, new long[] { 402, 150, 1256, 942 })]
    public void Published_apportionments_come_out(long total, long[] weights, long[] expected) =>
        Assert.Equal(expected, Divide(total, weights));

    // Hamilton's bill of 1792 over the census of 1790, 120 seats (Balinski and Young, "Fair Representation", 1982, chapter 2, figures from memory);
    // the textbook case of a party that loses a seat as there is one more to give (from memory).
    [Theory]
    [InlineData(
        120, new long[] { 630560, 475327, 432879, 353523, 331589, 278514, 236841, 206236, 179570, 141822, 85533, 70835, 68705, 68446, 55540 },
        new long[] { 21, 16, 14, 12, 11, 9, 8, 7, 6, 5, 3, 2, 2, 2, 2 })]
    [InlineData(10, new long[] { 6, 6, 2 }, new long[] { 4, 4, 2 })]
    [InlineData(11, new long[] { 6, 6, 2 }, new long[] { 5, 5, 1 })]
    [InlineData(10, new long[] { 47000, 16000, 15800, 12000, 6100, 3100 }, new long[] { 5, 2, 1, 1, 1, 0 })]
    public void Historical_apportionments_come_out(long total, long[] weights, long[] expected) =>
        Assert.Equal(expected, Divide(total, weights));

    [Fact]
    public void Shares_add_up_and_stay_within_one_unit_of_the_exact_share() =>
        Gen.Select(Gen.Long[-1_000_000_000_000, 1_000_000_000_000], Weights).Sample((total, weights) =>
        {
            var shares = Divide(total, weights);
            var sum = weights.Aggregate(BigInteger.Zero, (s, w) => s + w);
            Assert.Equal(total, shares.Sum());
            for (var i = 0; i < shares.Length; i++)
                Assert.True(BigInteger.Abs(shares[i] * sum - (BigInteger)total * weights[i]) < sum, "a whole unit away");
        });

    [Fact]
    public void Weight_zero_pays_nothing_and_more_weight_never_pays_less() =>
        Gen.Select(Gen.Long[0, 10_000], Gen.Long[0, 50].Array[1, 30].Where(w => w.Sum() > 0)).Sample((total, weights) =>
        {
            var shares = Divide(total, weights);
            for (var i = 0; i < weights.Length; i++)
            {
                if (weights[i] == 0) Assert.Equal(0, shares[i]);
                for (var j = 0; j < weights.Length; j++)
                {
                    if (weights[i] > weights[j]) Assert.True(shares[i] >= shares[j], "more weight, smaller share");
                    if (weights[i] == weights[j]) Assert.InRange(shares[i] - shares[j], -1, 1);
                }
            }
        });

    [Fact]
    public void Scaling_all_weights_changes_nothing() =>
        Gen.Select(Gen.Long[0, 1_000_000], Weights, Gen.Long[1, 1_000]).Sample((total, weights, factor) =>
            Assert.Equal(Divide(total, weights), Divide(total, weights.Select(w => w * factor).ToArray())));

    [Fact]
    public void A_refund_is_the_mirror_image() =>
        Gen.Select(Gen.OneOf(Gen.Long[0, 9], Gen.Long[0, 1_000_000]), Weights).Sample((total, weights) =>
            Assert.Equal(Divide(total, weights).Select(s => -s), Divide(-total, weights)));

    [Fact]
    public void Ten_thousand_members_with_the_largest_weights_share_the_largest_amount_exactly()
    {
        var weights = Enumerable.Range(0, CostLimits.MostMembers).Select(i => (BigInteger)(CostLimits.MostWeight * 1000) - i).ToArray();
        var shares = Apportionment.Divide(CostLimits.MostMinor, weights, Enumerable.Range(0, weights.Length).ToArray());
        Assert.Equal(CostLimits.MostMinor, shares.Sum());
        Assert.All(shares, s => Assert.InRange(s, CostLimits.MostMinor / weights.Length - 1, CostLimits.MostMinor / weights.Length + 1));
    }

    [Fact]
    public void Nothing_to_go_by_is_a_broken_precondition() => Assert.Throws<ArgumentException>(() => Divide(10, [0, 0]));

    [Fact]
    public void A_weight_below_0_is_a_broken_precondition() => Assert.Throws<ArgumentException>(() => Divide(10, [-1, 2]));

    [Fact]
    public void Each_party_has_a_rank() => Assert.Throws<ArgumentException>(() => Apportionment.Divide(10, [BigInteger.One, BigInteger.One], [0]));

    private static long[] Divide(long total, long[] weights) =>
        Apportionment.Divide(total, weights.Select(w => (BigInteger)w).ToArray(), Enumerable.Range(0, weights.Length).ToArray());
}
