using KilnShare.Core.Kilns;

namespace KilnShare.Core.Loading.Levels;

/// <summary>The posts there are, and the lengths that one of them, or two stacked, can make.</summary>
internal sealed class PostSupply
{
    private readonly long[] heights;
    private readonly int[] counts;
    private readonly (long Sum, int Low, int High)[] ways;
    private readonly Dictionary<string, long[][][]?> known = new(StringComparer.Ordinal);

    public PostSupply(Furniture furniture, IReadOnlyList<PlacedPost> used)
    {
        var taken = used.SelectMany(p => p.Heights).GroupBy(h => h.Micrometres).ToDictionary(g => g.Key, g => g.Count());
        var byHeight = furniture.Posts.Where(p => p.Count > 0).GroupBy(p => p.Height.Micrometres).OrderBy(g => g.Key).ToList();
        heights = [.. byHeight.Select(g => g.Key)];
        counts = [.. byHeight.Select(g => g.Sum(p => p.Count) - taken.GetValueOrDefault(g.Key))];
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

    /// <summary>The longest length not above <paramref name="most"/>; null when there is none.</summary>
    public long? AtMost(long most)
    {
        for (var i = Sums.Count - 1; i >= 0; i--)
        {
            if (Sums[i] <= most) return Sums[i];
        }

        return null;
    }

    /// <summary>
    /// For each demand (a length, and how many posts of it) the lengths each post is made of; null when the stock does not allow it,
    /// or when that was not found within a fixed number of tries.
    /// </summary>
    public long[][][]? Allot(IReadOnlyList<(long Sum, int Posts)> demands)
    {
        var key = string.Join(' ', demands);
        if (!known.TryGetValue(key, out var allotted)) known[key] = allotted = new Allotment(this, demands).Find();
        return allotted;
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

    /// <summary>One search for posts: demand by demand, those with the fewest ways first.</summary>
    private sealed class Allotment
    {
        private readonly PostSupply supply;
        private readonly IReadOnlyList<(long Sum, int Posts)> demands;
        private readonly long[][][] allotted;
        private readonly (long Sum, int Low, int High)[][] usable;
        private readonly int[] order;
        private readonly int[] left;
        private int nodes;

        public Allotment(PostSupply supply, IReadOnlyList<(long Sum, int Posts)> demands)
        {
            this.supply = supply;
            this.demands = demands;
            left = (int[])supply.counts.Clone();
            allotted = [.. demands.Select(d => new long[d.Posts][])];
            usable = [.. demands.Select(d => supply.ways.Where(w => w.Sum == d.Sum).ToArray())];
            order = [.. Enumerable.Range(0, demands.Count).OrderBy(d => usable[d].Length).ThenByDescending(d => demands[d].Sum)];
        }

        public long[][][]? Find() => Serve(0, 0, 0) ? allotted : null;

        private bool Serve(int at, int post, int firstWay)
        {
            if (at == order.Length) return true;
            if (++nodes > LevelTuning.MostAllotments) return false;
            var demand = order[at];
            if (post == demands[demand].Posts) return Serve(at + 1, 0, 0);
            for (var w = firstWay; w < usable[demand].Length; w++)
            {
                var way = usable[demand][w];
                if (!Take(way)) continue;
                allotted[demand][post] = way.High < 0 ? [supply.heights[way.Low]] : [supply.heights[way.High], supply.heights[way.Low]];
                if (Serve(at, post + 1, w)) return true;
                GiveBack(way);
            }

            return false;
        }

        private bool Take((long Sum, int Low, int High) way)
        {
            var need = way.High == way.Low ? 2 : 1;
            if (left[way.Low] < need || (way.High >= 0 && left[way.High] < need)) return false;
            left[way.Low]--;
            if (way.High >= 0) left[way.High]--;
            return true;
        }

        private void GiveBack((long Sum, int Low, int High) way)
        {
            left[way.Low]++;
            if (way.High >= 0) left[way.High]++;
        }
    }
}
