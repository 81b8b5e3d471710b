using System.Numerics;

namespace KilnShare.Core.Costs;

/// <summary>Divides whole minor units in proportion to weights so that nothing is lost or invented.</summary>
public static class Apportionment
{
    /// <summary>
    /// Each party's share of the total: its exact share rounded down, and what is left one unit each to the largest remainders.
    /// A negative total is the mirror image of the positive one.
    /// </summary>
    /// <remarks>
    /// Source: Hamilton's method, Balinski and Young, "Fair Representation" (1982), chapter 2. Units: minor units; weights in any unit.
    /// Valid for: weights of 0 or more, not all 0. Accuracy: exact; shares add up to the total and each is less than one unit from its exact share.
    /// </remarks>
    /// <param name="totalMinor">What is divided.</param>
    /// <param name="weights">One weight a party.</param>
    /// <param name="tieRank">One rank a party, all different: among equal remainders the lower rank gets the unit.</param>
    public static long[] Divide(long totalMinor, ReadOnlySpan<BigInteger> weights, ReadOnlySpan<int> tieRank)
    {
        if (weights.Length != tieRank.Length) throw new ArgumentException("One rank a weight.", nameof(tieRank));
        var sum = Sum(weights);
        if (sum.IsZero) throw new ArgumentException("At least one weight must be above 0.", nameof(weights));
        var shares = new long[weights.Length];
        var remainders = new BigInteger[weights.Length];
        var left = Math.Abs(totalMinor);
        for (var i = 0; i < weights.Length; i++)
        {
            shares[i] = (long)BigInteger.DivRem(weights[i] * Math.Abs(totalMinor), sum, out remainders[i]);
            left -= shares[i];
        }
        GiveOut(left, shares, remainders, tieRank);
        if (totalMinor < 0) Mirror(shares);
        return shares;
    }

    private static BigInteger Sum(ReadOnlySpan<BigInteger> weights)
    {
        var sum = BigInteger.Zero;
        foreach (var weight in weights)
        {
            if (weight.Sign < 0) throw new ArgumentException("A weight is below 0.", nameof(weights));
            sum += weight;
        }
        return sum;
    }

    private static void GiveOut(long left, long[] shares, BigInteger[] remainders, ReadOnlySpan<int> tieRank)
    {
        if (left == 0) return;
        var ranks = tieRank.ToArray();
        var order = Enumerable.Range(0, shares.Length).ToArray();
        Array.Sort(order, (a, b) => remainders[b].CompareTo(remainders[a]) is var c and not 0 ? c : ranks[a].CompareTo(ranks[b]));
        for (var k = 0; k < left; k++) shares[order[k]]++;
    }

    private static void Mirror(long[] shares)
    {
        for (var i = 0; i < shares.Length; i++) shares[i] = -shares[i];
    }
}
