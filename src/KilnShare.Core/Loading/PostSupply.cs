using KilnShare.Core.Kilns;

namespace KilnShare.Core.Loading;

/// <summary>The posts there are, and the lengths that one of them, or two stacked, can make.</summary>
internal sealed class PostSupply
{
    private const int MostNodes = 4_000;
    private readonly long[] heights;
    private readonly int[] counts;
    private readonly (long Sum, int Low, int High)[] ways;

    public PostSupply(Furniture furniture)
    {
        var byHeight = furniture.Posts.Where(p => p.Count > 0).GroupBy(p => p.Height.Micrometres).OrderBy(g => g.Key).ToList();
        heights = [.. byHeight.Select(g => g.Key)];
        counts = [.. byHeight.Select(g => g.Sum(p => p.Count))];
        ways = [.. Ways().OrderBy(w => w.Sum).ThenBy(w => w.High < 0 ? 0 : 1)];
        Sums = [.. ways.Select(w => w.Sum).Distinct()];
    }

    /// <summary>Lengths that can be made at all, shortest first, µm.</summary>
    public IReadOnlyList<long> Sums { get; }

    /// <summary>The shortest length not below <paramref name="least"/>; null when there is none.</summary>
    public long? AtLeast(long least)
    {
        foreach (var sum in Sums)
        {
            if (sum >= least) return sum;
        }

        return null;
    }

    /// <summary>
    /// For each demand (a length, and how many posts of it) the lengths each post is made of; null when the stock does not allow it,
    /// or when that was not found within a fixed number of tries.
    /// </summary>
    public long[][][]? Allot(IReadOnlyList<(long Sum, int Posts)> demands)
    {
        var left = (int[])counts.Clone();
        var allotted = demands.Select(d => new long[d.Posts][]).ToArray();
        var order = Enumerable.Range(0, demands.Count).OrderBy(d => WaysOf(demands[d].Sum).Count).ThenByDescending(d => demands[d].Sum).ToArray();
        var nodes = 0;
        return Serve(0, 0, 0) ? allotted : null;

        bool Serve(int at, int post, int firstWay)
        {
            if (at == order.Length) return true;
            if (++nodes > MostNodes) return false;
            var demand = order[at];
            if (post == demands[demand].Posts) return Serve(at + 1, 0, 0);
            var usable = WaysOf(demands[demand].Sum);
            for (var w = firstWay; w < usable.Count; w++)
            {
                if (!Take(usable[w], left)) continue;
                allotted[demand][post] = usable[w].High < 0 ? [heights[usable[w].Low]] : [heights[usable[w].High], heights[usable[w].Low]];
                if (Serve(at, post + 1, w)) return true;
                GiveBack(usable[w], left);
            }

            return false;
        }
    }

    private IEnumerable<(long Sum, int Low, int High)> Ways()
    {
        for (var i = 0; i < heights.Length; i++)
        {
            yield return (heights[i], i, -1);
            for (var j = i; j < heights.Length; j++)
            {
                if (j > i || counts[i] > 1) yield return (heights[i] + heights[j], i, j);
            }
        }
    }

    private List<(long Sum, int Low, int High)> WaysOf(long sum) => [.. ways.Where(w => w.Sum == sum)];

    private static bool Take((long Sum, int Low, int High) way, int[] left)
    {
        var need = way.High == way.Low ? 2 : 1;
        if (left[way.Low] < need || (way.High >= 0 && left[way.High] < need)) return false;
        left[way.Low]--;
        if (way.High >= 0) left[way.High]--;
        return true;
    }

    private static void GiveBack((long Sum, int Low, int High) way, int[] left)
    {
        left[way.Low]++;
        if (way.High >= 0) left[way.High]++;
    }
}
