namespace KilnShare.Core.Loading;

/// <summary>
/// Chooses how high the levels are to be, all together: by beam search over heights from the highest down, each level filled in thought
/// with what is worth most for its area. (Beam search: Lowerre 1976.) One of them lies uppermost: that which is
/// left over, or in half of varied searches one drawn, since whatever it is no shelf and no post comes over it.
/// </summary>
internal sealed class LevelHeights
{
    // Stands for the uppermost level, which reaches to the lid.
    public const long ToLid = 0;

    private const int Width = 8;
    private const int MostHeights = 20;

    // What is filled in thought may turn out otherwise: each height is liked more or less by up to this part.
    private const double Liking = 0.05;

    // Later levels are worth less for their height than the best of the first.
    private const double Fading = 0.9;

    private readonly Setting setting;
    private readonly Deck deck;
    private readonly double area;
    private readonly Lot[] lots;
    private readonly long[] heights;
    private readonly double[] liking;
    private readonly bool isUppermostDrawn;

    private LevelHeights(Setting setting, LotPool pool, Deck deck, long room, double usable, Dice dice, bool varied)
    {
        (this.setting, this.deck) = (setting, deck);
        area = deck.Seats.Sum(setting.AreaOf) * usable;
        lots = [.. pool.All.Where(w => pool.Waiting[w.Index] > 0 && w.Height <= room).OrderByDescending(w => w.Weight / w.Shape.Area)];
        heights = setting.FromStock ? HighestUnderPosts() : Sampled(dice.Below(MostHeights));
        liking = [.. heights.Select(_ => varied ? dice.Between(1 - Liking, 1 + Liking) : 1)];
        isUppermostDrawn = varied && dice.Below(2) == 0;
    }

    // Posts of one length stand beside the tallest for which they do, and beside all that is lower.
    private long[] HighestUnderPosts() =>
        [.. lots.Select(w => w.Height).GroupBy(h => setting.Stock.AtLeast(h + setting.Headroom)).Select(g => g.Max()).OrderDescending()];

    private long[] Sampled(int offset)
    {
        var all = lots.Select(w => w.Height).Distinct().OrderDescending().ToList();
        var step = Math.Max(1, (all.Count + MostHeights - 1) / MostHeights);
        return [.. all.Where((_, i) => i % step == offset % step)];
    }

    /// <summary>
    /// Heights of the tallest ware of each level, in the order to build them; the last is <see cref="ToLid"/>. Empty where nothing waits that fits.
    /// </summary>
    /// <param name="setting">The setting.</param>
    /// <param name="pool">What waits.</param>
    /// <param name="deck">What each level lies on.</param>
    /// <param name="room">From the first level's upper face to the lid, µm.</param>
    /// <param name="shelves">How many levels there can be.</param>
    /// <param name="usable">The part of a level that ware covers.</param>
    /// <param name="dice">Which of many heights are looked at, and how they are liked.</param>
    /// <param name="varied">True to choose otherwise each time.</param>
    public static IReadOnlyList<long> Choose(Setting setting, LotPool pool, Deck deck, long room, int shelves, double usable, Dice dice, bool varied)
    {
        var choice = new LevelHeights(setting, pool, deck, room, usable, dice, varied);
        if (choice.lots.Length == 0) return [];
        var root = new Node([.. choice.lots.Select(w => (double)pool.Waiting[w.Index])], room, 0, long.MaxValue, null);
        return choice.Search(choice.isUppermostDrawn ? choice.Topped(root, dice.Below(choice.heights.Length)) : root, shelves);
    }

    private List<long> Search(Node root, int shelves)
    {
        var all = Enumerable.Range(0, heights.Length).ToArray();
        var rate = all.Select(h => Filled(root, h)).OfType<Node>().Select(n => (n.Worth - root.Worth) / (root.Room - n.Room)).DefaultIfEmpty(0).Max() * Fading;
        var (best, bestWorth) = (root, Closed(root));
        List<Node> beam = [root];
        for (var level = 1; level < shelves && beam.Count > 0; level++)
        {
            beam = [.. beam.SelectMany(n => all.Where(h => heights[h] <= n.Height).Select(h => Filled(n, h))).OfType<Node>()
                .OrderByDescending(n => n.Worth + (rate * n.Room)).Take(Width)];
            foreach (var node in beam)
            {
                if (Closed(node) is var worth && worth > bestWorth) (best, bestWorth) = (node, worth);
            }
        }

        var found = new List<long> { ToLid };
        for (var node = best; node.Below is { } below; node = below) found.Insert(0, node.Height);
        return found;
    }

    // The uppermost level first: it may be any that has room.
    private Node Topped(Node root, int h)
    {
        double[] left = [.. root.Left];
        return new Node(left, root.Room - heights[h], Take(left, heights[h]) * liking[h], long.MaxValue, null);
    }

    // One level more of that height; null where no room is left above it for the lowest.
    private Node? Filled(Node node, int h)
    {
        var clear = setting.FromStock ? setting.Stock.AtLeast(heights[h] + setting.Headroom) : heights[h] + setting.Headroom;
        var room = node.Room - (clear ?? node.Room) - deck.Thickness;
        if (room < (isUppermostDrawn ? 0 : heights[^1])) return null;
        double[] left = [.. node.Left];
        var worth = Take(left, heights[h]) * liking[h];
        return worth > 0 ? new Node(left, room, node.Worth + worth, heights[h], node) : null;
    }

    private double Closed(Node node) => isUppermostDrawn ? node.Worth : node.Worth + Take([.. node.Left], node.Room);

    // Takes what is worth most for its area until the level is full; the last piece in part.
    private double Take(double[] left, long height)
    {
        double worth = 0;
        var free = area;
        for (var i = 0; i < lots.Length && free > 0; i++)
        {
            if (left[i] <= 0 || lots[i].Height > height) continue;
            var copies = Math.Min(left[i], free / lots[i].Shape.Area);
            left[i] -= copies;
            worth += copies * lots[i].Weight;
            free -= copies * lots[i].Shape.Area;
        }

        return worth;
    }

    private sealed record Node(double[] Left, long Room, double Worth, long Height, Node? Below);
}
