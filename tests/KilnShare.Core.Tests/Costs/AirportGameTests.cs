using System.Numerics;
using CsCheck;
using KilnShare.Core.Costs;

namespace KilnShare.Core.Tests.Costs;

public sealed class AirportGameTests
{
    // Littlechild and Owen (1973), Birmingham 1968-69: annual capital cost of a runway for each type, £, movements, and fee a movement, £.
    // Figures from memory; that costs and movements reproduce the eleven fees confirms them.
    private static readonly (long Cost, int Movements, decimal Fee)[] Birmingham =
    [
        (65_899, 42, 4.86m), (76_725, 9_555, 5.66m), (95_200, 288, 10.30m), (97_200, 303, 10.85m), (97_436, 151, 10.92m),
        (98_142, 1_315, 11.13m), (102_496, 505, 13.40m), (104_849, 1_128, 15.07m), (113_322, 151, 44.80m), (115_440, 112, 60.61m),
        (117_676, 22, 162.24m),
    ];

    [Fact]
    public void The_fees_of_the_published_airport_come_out()
    {
        var costs = Birmingham.SelectMany(type => Enumerable.Repeat(type.Cost, type.Movements)).ToArray();
        var weights = AirportGame.Weights([costs], costs.Length);
        var sum = weights.Aggregate(BigInteger.Zero, BigInteger.Add);
        var at = 0;
        foreach (var (_, movements, fee) in Birmingham)
        {
            var pence = (long)(weights[at] * 117_676 * 10_000 / sum) / 100m / 100m;
            Assert.Equal(fee, Math.Round(pence, 2, MidpointRounding.AwayFromZero));
            at += movements;
        }
    }

    [Fact]
    public void It_equals_the_mean_marginal_cost_over_all_orders() =>
        Gen.Long[0, 20].Array[1, 6].Where(h => h.Max() > 0).Sample(heights =>
        {
            var weights = AirportGame.Weights([heights], heights.Length);
            var slow = Slow(heights);
            var (sum, slowSum) = (weights.Aggregate(BigInteger.Zero, BigInteger.Add), (BigInteger)slow.Sum());
            for (var i = 0; i < heights.Length; i++) Assert.Equal(weights[i] * slowSum, slow[i] * sum);
        });

    [Fact]
    public void Nobody_pays_more_than_for_a_level_of_their_own() =>
        Gen.Long[0, 200].Array[1, 12].Where(h => h.Max() > 0).Sample(heights =>
        {
            var weights = AirportGame.Weights([heights], heights.Length);
            var sum = weights.Aggregate(BigInteger.Zero, BigInteger.Add);
            for (var i = 0; i < heights.Length; i++) Assert.True(weights[i] * heights.Max() <= sum * heights[i], "above stand-alone");
        });

    [Fact]
    public void Levels_are_weighted_by_their_tallest()
    {
        // 120 mm on the first level for the first alone, 110 on the second for the other alone, 85 shared.
        var weights = AirportGame.Weights([[120, 0], [0, 110], [85, 85]], 2);
        Assert.Equal(weights[0] * 305, weights[1] * 325);
    }

    /// <summary>Marginal costs added up over every order of arrival.</summary>
    private static long[] Slow(long[] heights)
    {
        var sums = new long[heights.Length];
        foreach (var order in Orders(Enumerable.Range(0, heights.Length).ToArray()))
        {
            var tallest = 0L;
            foreach (var i in order)
            {
                sums[i] += Math.Max(0, heights[i] - tallest);
                tallest = Math.Max(tallest, heights[i]);
            }
        }
        return sums;
    }

    private static IEnumerable<int[]> Orders(int[] items) =>
        items.Length <= 1 ? [items] : items.SelectMany(first => Orders(items.Where(i => i != first).ToArray()).Select(rest => (int[])[first, .. rest]));
}
