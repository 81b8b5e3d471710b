namespace KilnShare.Core.Loading;

/// <summary>Fills a hole among rectangles from what waits: one after another in an order with chance in it, each where a rule likes it best.</summary>
internal sealed class BoxFill
{
    private const double MostNoise = 0.8;
    private readonly BoxFloor floor;
    private readonly double owed;
    private readonly Dice dice;
    private readonly double[] values;
    private readonly (double W, double D, bool MayTurn)[] sides;
    private readonly int[] byDensity;
    private readonly int[] order;
    private readonly double[] keys;
    private readonly FreeBoxes free = new();
    private int rule;
    private bool right;
    private bool up;
    private bool sidewaysFirst;
    private double bestScore;
    private double bestX;
    private double bestY;
    private bool bestTurned;

    public BoxFill(BoxFloor floor, Lot[] lots, double[] values, double owed, Dice dice)
    {
        (this.floor, this.values, this.owed, this.dice) = (floor, values, owed, dice);
        sides = [.. lots.Select(w => SidesOf(w))];
        byDensity = [.. Enumerable.Range(0, lots.Length).OrderByDescending(i => values[i] / lots[i].Shape.Area)];
        (order, keys) = (new int[lots.Length], new double[lots.Length]);
    }

    /// <summary>Looks for what is free in the hole.</summary>
    public void Begin(Box hole, double least, BoxState state)
    {
        free.Begin(hole, least);
        for (var i = 0; i < state.Count; i++)
        {
            var taken = state.Boxes[i].Grown(owed);
            if (taken.Overlaps(hole)) free.TakeOut(taken);
        }

        foreach (var block in floor.Blocks)
        {
            if (block.Overlaps(hole)) free.TakeOut(block);
        }
    }

    /// <summary>Puts into what is free what waits; of what is worth less for its area no more than would cover so much, µm².</summary>
    public void Fill(BoxState state, double mostArea)
    {
        var draw = dice.Next();
        (right, up, sidewaysFirst) = ((draw & 1) != 0, (draw & 2) != 0, (draw & 4) != 0);
        rule = (int)((draw >> 3) % 6);
        var count = Order(state, (int)((draw >> 8) % 3), MostNoise * dice.Unit(), mostArea);
        for (var i = 0; i < count && free.Count > 0; i++)
        {
            var lot = order[i];
            while (state.Waiting[lot] > 0 && Best(lot))
            {
                var (w, d, _) = sides[lot];
                var box = bestTurned ? new Box(bestX, bestY, bestX + d, bestY + w) : new Box(bestX, bestY, bestX + w, bestY + d);
                state.Waiting[lot]--;
                state.Add(lot, box, bestTurned, values[lot]);
                free.TakeOut(box.Grown(owed));
            }
        }
    }

    private static (double W, double D, bool MayTurn) SidesOf(Lot lot)
    {
        if (lot.Piece.Footprint is not Pieces.Footprint.Rectangle r) return default;
        double w = r.Width.Micrometres, d = r.Depth.Micrometres;
        // Whole micrometres on both sides of an axis: a side of odd length is taken as longer by one.
        return (w + (w % 2), d + (d % 2), lot.Piece.MayTurn && w != d);
    }

    // What waits and is no larger than some free box, the most wanted first.
    private int Order(BoxState state, int preference, double noise, double mostArea)
    {
        var count = 0;
        foreach (var lot in byDensity)
        {
            if (mostArea < 0) break;
            if (state.Waiting[lot] == 0 || !IsSmallEnough(lot)) continue;
            var (w, d, _) = sides[lot];
            var score = preference switch { 0 => values[lot] / (w * d), 1 => w * d, _ => values[lot] };
            mostArea -= w * d * state.Waiting[lot];
            order[count] = lot;
            keys[count++] = -score * (1 + (noise * (dice.Unit() - 0.5)));
        }

        Array.Sort(keys, order, 0, count);
        return count;
    }

    private bool IsSmallEnough(int lot)
    {
        var (w, d, mayTurn) = sides[lot];
        for (var i = 0; i < free.Count; i++)
        {
            ref readonly var box = ref free[i];
            var (across, along) = (box.X1 - box.X0, box.Y1 - box.Y0);
            if ((across >= w && along >= d) || (mayTurn && across >= d && along >= w)) return true;
        }

        return false;
    }

    private bool Best(int lot)
    {
        var (w, d, mayTurn) = sides[lot];
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
        if (!floor.Lies(box, w, d, out var x, out var y)) return;
        floor.Push(box, w, d, right, up, sidewaysFirst, ref x, ref y);
        var (mx, my) = (x + (w / 2) - floor.MiddleX, y + (d / 2) - floor.MiddleY);
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
