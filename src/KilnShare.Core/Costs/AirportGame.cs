using System.Numerics;

namespace KilnShare.Core.Costs;

/// <summary>
/// The height of a level is a common cost set by its tallest piece, as a runway's length is set by the largest aircraft.
/// Each step of height is borne equally by those who need it.
/// </summary>
public static class AirportGame
{
    /// <summary>
    /// Weights proportional to each member's Shapley value summed over the levels. Dividing a cost over the levels by their tallest and each
    /// level by its Shapley value is the same as dividing it once by these weights, since a level's Shapley values add up to its tallest.
    /// </summary>
    /// <remarks>
    /// Source: Littlechild and Owen, "A simple expression for the Shapley value in a special case", Management Science 20 (1973) 370.
    /// Units: as the heights, times a common factor. Valid for: whole heights of 0 or more. Accuracy: exact.
    /// </remarks>
    /// <param name="levels">For each level the height of each member, in whole units.</param>
    /// <param name="members">Number of members.</param>
    public static BigInteger[] Weights(IReadOnlyList<IReadOnlyList<long>> levels, int members)
    {
        var steps = levels.Select(Steps).ToArray();
        var scale = steps.SelectMany(s => s).Select(s => s.Sharers).Distinct().Aggregate(BigInteger.One, LeastCommonMultiple);
        var weights = new BigInteger[members];
        for (var level = 0; level < steps.Length; level++) AddLevel(weights, levels[level], steps[level], scale);
        return weights;
    }

    private static void AddLevel(BigInteger[] weights, IReadOnlyList<long> heights, List<Step> steps, BigInteger scale)
    {
        var upTo = new Dictionary<long, BigInteger> { [0] = BigInteger.Zero };
        var climbed = BigInteger.Zero;
        foreach (var step in steps)
        {
            climbed += scale / step.Sharers * step.Rise;
            upTo[step.Top] = climbed;
        }
        for (var i = 0; i < weights.Length; i++) weights[i] += upTo[heights[i]];
    }

    /// <summary>The steps of one level from the shelf up: how much higher, and how many members reach that high.</summary>
    private static List<Step> Steps(IReadOnlyList<long> heights)
    {
        var steps = new List<Step>();
        var below = 0L;
        var sharers = heights.Count(h => h > 0);
        foreach (var group in heights.Where(h => h > 0).GroupBy(h => h).OrderBy(g => g.Key))
        {
            steps.Add(new Step(group.Key, group.Key - below, sharers));
            below = group.Key;
            sharers -= group.Count();
        }
        return steps;
    }

    private static BigInteger LeastCommonMultiple(BigInteger a, int b) => a / BigInteger.GreatestCommonDivisor(a, b) * b;

    private readonly record struct Step(long Top, long Rise, int Sharers);
}
