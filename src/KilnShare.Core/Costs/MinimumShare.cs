using System.Numerics;

namespace KilnShare.Core.Costs;

/// <summary>The least a member pays: those below are raised, and the others pay what is left in their proportion.</summary>
internal static class MinimumShare
{
    /// <summary>
    /// What is added to each share (below 0 where it is taken off); the entries sum to 0. Null when nobody is below. With one part the rest is
    /// split by that part's weights, with several by the shares before. The studio has no minimum; a studio in credit keeps its share.
    /// </summary>
    /// <param name="shares">What each bears, credits to single members left out.</param>
    /// <param name="parts">The weights of the parts that are no such credits.</param>
    /// <param name="request">The cost.</param>
    /// <param name="ranks">Who gets odd units.</param>
    public static long[]? Adjustments(long[] shares, PartWeights[] parts, CostSplitRequest request, int[] ranks)
    {
        var members = request.Members.Count;
        var least = request.MinimumMinor;
        if (least == 0 || !shares.Take(members).Any(s => s < least)) return null;
        var weights = parts.Length == 1 ? parts[0].Weights : shares.Select(s => (BigInteger)s).ToArray();
        var free = Enumerable.Range(0, shares.Length).Where(i => i < members ? shares[i] >= least : shares[i] > 0).ToList();
        var others = Enumerable.Range(members, shares.Length - members).Where(i => shares[i] <= 0).Sum(i => shares[i]);
        var final = SplitRest(shares.Sum() - others, free, weights, ranks, members, least);
        return shares.Select((s, i) => final.TryGetValue(i, out var f) ? f - s : i < members ? least - s : 0).ToArray();
    }

    /// <summary>The shares of those not raised. Somebody always remains, since the total is at least the minimum times the members.</summary>
    private static Dictionary<int, long> SplitRest(long total, List<int> free, BigInteger[] weights, int[] ranks, int members, long least)
    {
        while (free.Count > 0)
        {
            var freeMembers = free.Count(i => i < members);
            var rest = total - least * (members - freeMembers);
            var split = Apportionment.Divide(rest, free.Select(i => weights[i]).ToArray(), free.Select(i => ranks[i]).ToArray());
            var above = Enumerable.Range(0, free.Count).Where(k => free[k] >= members || split[k] >= least).ToList();
            if (above.Count == free.Count) return free.Select((i, k) => (i, share: split[k])).ToDictionary(x => x.i, x => x.share);
            free = above.ConvertAll(k => free[k]);
        }
        return [];
    }
}
