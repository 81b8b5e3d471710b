using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>Fills a hole among rectangles from what waits: one by one, in an order varied by chance, each where a rule scores it highest.</summary>
internal sealed class RectangleFill
{
    private readonly RectangleShelf shelf;
    private readonly double owed;
    private readonly SeededRandom random;
    private readonly double[] values;
    private readonly (double W, double D, bool MayTurn)[] sides;
    private readonly int[] byDensity;
    private readonly int[] order;
    private readonly double[] keys;
    private readonly MaximalRectangles free = new();
    private int rule;
    private bool right;
    private bool up;
    private bool sidewaysFirst;
    private double bestScore;
    private double bestX;
    private double bestY;
    private bool bestTurned;

    public RectangleFill(RectangleShelf shelf, Item[] items, double[] values, double owed, SeededRandom random)
    {
        (this.shelf, this.values, this.owed, this.random) = (shelf, values, owed, random);
        sides = [.. items.Select(w => SidesOf(w))];
        byDensity = [.. Enumerable.Range(0, items.Length).OrderByDescending(i => values[i] / items[i].Shape.Area)];
        (order, keys) = (new int[items.Length], new double[items.Length]);
    }

    /// <summary>Finds the free boxes of the hole.</summary>
    public void Begin(Box hole, double least, RectangleState state)
    {
        free.Begin(hole, least);
        for (var i = 0; i < state.Count; i++)
        {
            var taken = state.Boxes[i].Grown(owed);
            if (taken.Overlaps(hole)) free.TakeOut(taken);
        }

        foreach (var block in shelf.Blocks)
        {
            if (block.Overlaps(hole)) free.TakeOut(block);
        }
    }

    /// <summary>Fills the free boxes from what waits. Only the most valuable for their area are offered, until they would cover so much area, µm².</summary>
    public void Fill(RectangleState state, double mostArea)
    {
        var draw = random.Next();
        (right, up, sidewaysFirst) = ((draw & 1) != 0, (draw & 2) != 0, (draw & 4) != 0);
        rule = (int)((draw >> 3) % 6);
        var count = Order(state, (int)((draw >> 8) % 3), ShelfTuning.FillNoise * random.Unit(), mostArea);
        for (var i = 0; i < count && free.Count > 0; i++)
        {
            var item = order[i];
            while (state.Waiting[item] > 0 && Best(item))
            {
                var (w, d, _) = sides[item];
                var box = bestTurned ? new Box(bestX, bestY, bestX + d, bestY + w) : new Box(bestX, bestY, bestX + w, bestY + d);
                state.Waiting[item]--;
                state.Add(item, box, bestTurned, values[item]);
                free.TakeOut(box.Grown(owed));
            }
        }
    }

    private static (double W, double D, bool MayTurn) SidesOf(Item item)
    {
        if (item.Piece.Footprint is not Pieces.Footprint.Rectangle r) return default;
        double w = r.Width.Micrometres, d = r.Depth.Micrometres;
        // A side of odd length counts as longer by 1 µm, so that both halves are whole micrometres.
        return (w + (w % 2), d + (d % 2), item.Piece.MayTurn && w != d);
    }

    // What waits and fits some free box, by preference.
    private int Order(RectangleState state, int preference, double noise, double mostArea)
    {
        var count = 0;
        foreach (var item in byDensity)
        {
            if (mostArea < 0) break;
            if (state.Waiting[item] == 0 || !IsSmallEnough(item)) continue;
            var (w, d, _) = sides[item];
            var score = preference switch { 0 => values[item] / (w * d), 1 => w * d, _ => values[item] };
            mostArea -= w * d * state.Waiting[item];
            order[count] = item;
            keys[count++] = -score * (1 + (noise * (random.Unit() - 0.5)));
        }

        Array.Sort(keys, order, 0, count);
        return count;
    }

    private bool IsSmallEnough(int item)
    {
        var (w, d, mayTurn) = sides[item];
        for (var i = 0; i < free.Count; i++)
        {
            ref readonly var box = ref free[i];
            var (across, along) = (box.X1 - box.X0, box.Y1 - box.Y0);
            if ((across >= w && along >= d) || (mayTurn && across >= d && along >= w)) return true;
        }

        return false;
    }

    private bool Best(int item)
    {
        var (w, d, mayTurn) = sides[item];
        bestScore = double.NegativeInfinity;
        for (var i = 0; i < free.Count; i++)
        {
            Offer(free[i], w, d, false);
            if (mayTurn) Offer(free[i], d, w, true);
        }

        return !double.IsNegativeInfinity(bestScore);
    }

    private void Offer(in Box box, double w, double d, bool turned)
    {
        if (!shelf.Lies(box, w, d, out var x, out var y)) return;
        shelf.Push(box, w, d, right, up, sidewaysFirst, ref x, ref y);
        var (mx, my) = (x + (w / 2) - shelf.MiddleX, y + (d / 2) - shelf.MiddleY);
        var score = rule switch
        {
            0 or 1 => (right ? x + w : -x) + (1e-3 * (up ? y + d : -y)),
            2 or 3 => (up ? y + d : -y) + (1e-3 * (right ? x + w : -x)),
            4 => -Math.Min(box.X1 - box.X0 - w, box.Y1 - box.Y0 - d),
            _ => (mx * mx) + (my * my),
        };
        if (score > bestScore) (bestScore, bestX, bestY, bestTurned) = (score, x, y, turned);
    }
}
