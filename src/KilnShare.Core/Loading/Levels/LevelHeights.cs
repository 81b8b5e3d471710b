using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Levels;

/// <summary>
/// Chooses the heights of all levels together: a beam search (Lowerre 1976) over heights from the highest down, in which each level is filled,
/// by area alone, with what is worth most for its area. The uppermost level takes what height is left. In half of the varied choices its height
/// is drawn first instead, since no shelf and no post comes over it.
/// </summary>
internal sealed class LevelHeights
{
    // Stands for the uppermost level, which reaches to the lid.
    public const long ToLid = 0;




    private readonly LoadInstance instance;
    private readonly Deck deck;
    private readonly double area;
    private readonly Item[] items;
    private readonly long[] heights;
    private readonly double[] liking;
    private readonly bool isUppermostDrawn;

    private LevelHeights(LoadInstance instance, ItemPool pool, Deck deck, long height, double usable, SeededRandom random, bool varied)
    {
        (this.instance, this.deck) = (instance, deck);
        area = deck.Seats.Sum(instance.AreaOf) * usable;
        items = [.. pool.All.Where(w => pool.Waiting[w.Index] > 0 && w.Height <= height).OrderByDescending(w => w.Value / w.Shape.Area)];
        heights = instance.FromStock ? HighestUnderPosts() : Sampled(random.Below(LevelTuning.HeightsInBeam));
        liking = [.. heights.Select(_ => varied ? random.Between(1 - LevelTuning.HeightLiking, 1 + LevelTuning.HeightLiking) : 1)];
        isUppermostDrawn = varied && random.Below(2) == 0;
    }

    // For each length of posts only the tallest ware that fits under it: all that is lower fits too.
    private long[] HighestUnderPosts() =>
        [.. items.Select(w => w.Height).GroupBy(h => instance.Stock.AtLeast(h + instance.Headroom)).Select(g => g.Max()).OrderDescending()];

    private long[] Sampled(int offset)
    {
        var all = items.Select(w => w.Height).Distinct().OrderDescending().ToList();
        var step = Math.Max(1, (all.Count + LevelTuning.HeightsInBeam - 1) / LevelTuning.HeightsInBeam);
        return [.. all.Where((_, i) => i % step == offset % step)];
    }

    /// <summary>
    /// Heights of the tallest ware of each level, in the order to build them; the last is <see cref="ToLid"/>. Empty where nothing waits that fits.
    /// </summary>
    /// <param name="instance">The problem prepared.</param>
    /// <param name="pool">What waits.</param>
    /// <param name="deck">What each level lies on.</param>
    /// <param name="height">From the first level's upper face to the lid, µm.</param>
    /// <param name="shelves">How many levels there can be.</param>
    /// <param name="usable">The part of a level that ware covers.</param>
    /// <param name="random">Which of many heights are looked at, and how they are liked.</param>
    /// <param name="varied">True to choose otherwise each time.</param>
    public static IReadOnlyList<long> Choose(
        LoadInstance instance, ItemPool pool, Deck deck, long height, int shelves, double usable, SeededRandom random, bool varied)
    {
        var choice = new LevelHeights(instance, pool, deck, height, usable, random, varied);
        if (choice.items.Length == 0) return [];
        var root = new Node([.. choice.items.Select(w => (double)pool.Waiting[w.Index])], height, 0, long.MaxValue, null);
        return choice.Search(choice.isUppermostDrawn ? choice.Topped(root, random.Below(choice.heights.Length)) : root, shelves);
    }

    private List<long> Search(Node root, int shelves)
    {
        var all = Enumerable.Range(0, heights.Length).ToArray();
        var rate = all.Select(h => Filled(root, h)).OfType<Node>().Select(n => (n.Worth - root.Worth) / (root.HeightLeft - n.HeightLeft)).DefaultIfEmpty(0)
            .Max() * LevelTuning.HeightFading;
        var (best, bestWorth) = (root, Closed(root));
        List<Node> beam = [root];
        for (var level = 1; level < shelves && beam.Count > 0; level++)
        {
            beam = [.. beam.SelectMany(n => all.Where(h => heights[h] <= n.Height).Select(h => Filled(n, h))).OfType<Node>()
                .OrderByDescending(n => n.Worth + (rate * n.HeightLeft)).Take(LevelTuning.BeamWidth)];
            foreach (var node in beam)
            {
                if (Closed(node) is var worth && worth > bestWorth) (best, bestWorth) = (node, worth);
            }
        }

        var found = new List<long> { ToLid };
        for (var node = best; node.Below is { } below; node = below) found.Insert(0, node.Height);
        return found;
    }

    // Fills the uppermost level first, at a height drawn by chance.
    private Node Topped(Node root, int h)
    {
        double[] left = [.. root.Left];
        return new Node(left, root.HeightLeft - heights[h], Take(left, heights[h]) * liking[h], long.MaxValue, null);
    }

    // One more level of that height; null where the lowest ware would not fit above it.
    private Node? Filled(Node node, int h)
    {
        var clear = instance.FromStock ? instance.Stock.AtLeast(heights[h] + instance.Headroom) : heights[h] + instance.Headroom;
        var height = node.HeightLeft - (clear ?? node.HeightLeft) - deck.Thickness;
        if (height < (isUppermostDrawn ? 0 : heights[^1])) return null;
        double[] left = [.. node.Left];
        var worth = Take(left, heights[h]) * liking[h];
        return worth > 0 ? new Node(left, height, node.Worth + worth, heights[h], node) : null;
    }

    private double Closed(Node node) => isUppermostDrawn ? node.Worth : node.Worth + Take([.. node.Left], node.HeightLeft);

    // Takes what is worth most for its area until the level is full; the last item in part.
    private double Take(double[] left, long height)
    {
        double worth = 0;
        var free = area;
        for (var i = 0; i < items.Length && free > 0; i++)
        {
            if (left[i] <= 0 || items[i].Height > height) continue;
            var copies = Math.Min(left[i], free / items[i].Shape.Area);
            left[i] -= copies;
            worth += copies * items[i].Value;
            free -= copies * items[i].Shape.Area;
        }

        return worth;
    }

    private sealed record Node(double[] Left, long HeightLeft, double Worth, long Height, Node? Below);
}
