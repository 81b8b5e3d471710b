using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Overlap;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>
/// Shares out the room that is left on one shelf. What stands askew is straightened; then all distances grow together, between items and to edges, posts and
/// keep-outs; those that can grow no more keep what they have, and the others grow on; at the end rows are put in line again.
/// </summary>
/// <remarks>
/// Progressive filling, the usual way to make the least share as large as can be, then the next (Bertsekas and Gallager, Data Networks, 1992). How far all can
/// grow is found by halving; each try is a descent of the overlap energy, for the first and least distances also a short guided local search, and is taken over
/// only where it is exactly sound.
/// </remarks>
internal sealed class SlackSharing
{
    private readonly Tray tray;
    private readonly Distances distances;
    private readonly SearchContext context;
    private readonly long tries;
    private readonly IReadOnlyList<PlacedItem> before;
    private readonly bool[] held;
    private readonly bool[] straight;
    private readonly Easing easing;
    private PlacedItem[] now;

    private SlackSharing(Tray tray, Distances distances, IReadOnlyList<bool> held, SearchContext context, long tries)
    {
        (this.tray, this.distances, this.context, this.tries) = (tray, distances, context, tries);
        before = [.. tray.PlacedItems];
        now = [.. before];
        straight = new bool[now.Length];
        this.held = new bool[now.Length];
        var region = tray.Space.Region;
        // Pieces keep the distance that the nearest two have already, unless that is plenty.
        var floor = Math.Min(Least(now), FinishingTuning.PlentyBetween) - distances.Gap - distances.SearchMargin;
        easing = new Easing(now.Length, now.Length + region.Obstacles.Count, region.Discs.Count + region.Planes.Count) { Floor = Math.Max(0, floor) };
        for (var i = 0; i < now.Length; i++)
        {
            if (held[i] || Touches(i)) Hold(i);
        }
    }

    /// <summary>Where the items of a shelf stand then, in the same order.</summary>
    /// <param name="tray">The shelf as it is; sound.</param>
    /// <param name="shelfTurn">How the shelf is turned, thousandths of a degree.</param>
    /// <param name="held">By item: whether it must stay where it is.</param>
    /// <param name="distances">What is owed.</param>
    /// <param name="context">How to search, and for how long.</param>
    /// <param name="tries">Tries that the context's budget allows, an overlap minimisation each.</param>
    public static IReadOnlyList<PlacedItem> Share(
        Tray tray, int shelfTurn, IReadOnlyList<bool> held, Distances distances, SearchContext context, long tries)
    {
        var sharing = new SlackSharing(tray, distances, held, context, tries);
        sharing.HoldTheTight();
        sharing.Straighten(shelfTurn);
        sharing.Grow();
        sharing.PutInLine();
        return sharing.now;
    }

    // It stays where it is. The margin that it may lack is not looked for in vain.
    private void Hold(int i)
    {
        held[i] = true;
        for (var e = 0; e < tray.Space.Region.Discs.Count + tray.Space.Region.Planes.Count; e++)
            easing.FixEdge(i, e, -distances.SearchMargin - now[i].Item.Shape.Excess);
    }

    // Ware that touches other ware, as it may, stays where it is.
    private bool Touches(int i) => before[i].Item.Piece.Touch
        && Enumerable.Range(0, before.Count).Any(j => j != i && before[j].Item.Piece.Touch && !Exact.Apart(before[i].Exact, before[j].Exact, distances.Gap));

    // The least distance between two items that owe each other one, µm.
    private static long Least(IReadOnlyList<PlacedItem> items)
    {
        var least = LoadLimits.MaxLengthMicrometres;
        for (var i = 0; i < items.Count; i++)
        {
            for (var j = i + 1; j < items.Count; j++)
            {
                if (!items[i].Item.Piece.Touch || !items[j].Item.Piece.Touch) least = Clearance.Between(items[i].Exact, items[j].Exact, least);
            }
        }

        return least;
    }

    // What the search set nearer to something than the overlap energy would, and has no room to move, stays.
    private void HoldTheTight()
    {
        if (context.Budget.Stop || Separated(now, out var pressed) is not null) return;
        for (var i = 0; i < now.Length; i++)
        {
            if (!held[i] && pressed.PainOf(i) > Descent.Solved) Hold(i);
        }
    }

    // Turns what stands askew to the nearest half of a right angle, all at once or, where that fails, one after the other.
    private void Straighten(int shelfTurn)
    {
        var askew = new List<(int Item, int Off)>();
        for (var i = 0; i < now.Length; i++)
        {
            var off = Askew(now[i].Turn, shelfTurn);
            straight[i] = held[i] || now[i].Item.Shape.IsDisc || !now[i].Item.Piece.MayTurn || off == 0;
            if (!straight[i]) askew.Add((i, off));
        }

        if (askew.Count == 0 || Turned(askew)) return;
        foreach (var one in askew.OrderBy(a => Math.Abs(a.Off)).Take(FinishingTuning.StraightenedSingly)) Turned([one]);
    }

    private bool Turned(IReadOnlyList<(int Item, int Off)> askew)
    {
        if (context.Budget.Stop) return false;
        PlacedItem[] turned = [.. now];
        foreach (var (i, off) in askew)
        {
            turned[i] = PlacedItem.At(now[i].Item, now[i].Count, now[i].CentreX, now[i].CentreY, Turning.Normalise(now[i].Turn - off));
            straight[i] = true;
        }

        if (Separated(turned, out _) is { } apart)
        {
            now = apart;
            return true;
        }

        foreach (var (i, _) in askew) straight[i] = false;
        return false;
    }

    // By how much it is turned beyond the nearest half of a right angle, thousandths of a degree.
    private static int Askew(int turn, int shelfTurn)
    {
        var over = Turning.Normalise(turn - shelfTurn) % FinishingTuning.StraightTurns;
        return over > FinishingTuning.StraightTurns / 2 ? over - FinishingTuning.StraightTurns : over;
    }

    private void Grow()
    {
        double step = FinishingTuning.FirstGrowth;
        var missing = GrownTogether(ref step);
        if (missing is not null && GrownGuided(step)) missing = GrownTogether(ref step);
        while (missing is not null && Fixed(missing) && !Array.TrueForAll(held, h => h)) missing = GrownTogether(ref step);
    }

    // Raises the level as far as descents can, and returns what was in the way of more; null where there may be no more tries. The step is for the next time.
    private IReadOnlyList<(int Item, int Other, bool IsEdge, double Depth)>? GrownTogether(ref double step)
    {
        var (from, reached, failed) = (easing.Level, 0.0, double.PositiveInfinity);
        IReadOnlyList<(int, int, bool, double)> missing = [];
        for (var next = step; failed - reached > FinishingTuning.LeastGrowth; next = double.IsInfinity(failed) ? 2 * reached : (reached + failed) / 2)
        {
            if (context.Budget.Stop)
            {
                easing.Level = from + reached;
                return null;
            }

            easing.Level = from + next;
            if (Separated(now, out var pressed) is { } apart) (now, reached) = (apart, next);
            else (failed, missing) = (next, pressed.Missing(easing));
        }

        step = Math.Max(FinishingTuning.LeastGrowth, reached / 2);
        easing.Level = from + reached;
        return missing;
    }

    // Raises the least distance, which is what hands go by, with a longer search for half of the tries; true where that helped.
    private bool GrownGuided(double step)
    {
        var (from, until) = (easing.Level, context.Budget.Iterations + (long)(FinishingTuning.PartForGuided * tries));
        while (step >= FinishingTuning.LeastGrowth && context.Budget.Iterations < until && !context.Budget.Stop)
        {
            easing.Level += step;
            var overlap = OverlapOf(now);
            var rounds = (int)Math.Min(FinishingTuning.GuidedRounds, until - context.Budget.Iterations);
            if ((overlap.Squeeze(rounds, context.Options.DescentSteps, context) ? Settled(overlap, now) : null) is { } apart)
            {
                now = apart;
                continue;
            }

            easing.Level -= step;
            step /= 2;
        }

        return easing.Level > from;
    }

    // Lets what was in the way grow no more; false where that was nothing that grows.
    private bool Fixed(IReadOnlyList<(int Item, int Other, bool IsEdge, double Depth)> missing)
    {
        var most = missing.Select(m => m.Depth).DefaultIfEmpty(0).Max();
        foreach (var (i, other, isEdge, _) in missing.Where(m => m.Depth >= most * FinishingTuning.JammedPart))
        {
            if (isEdge) easing.FixEdge(i, other, easing.Level);
            else easing.FixPair(i, other, easing.Level);
            // Where nothing gave way at all, nothing is moved any more, so that no distance becomes shorter by a rounding.
            if (easing.Level > 0) continue;
            Hold(i);
            if (!isEdge && other < now.Length) Hold(other);
        }

        return missing.Count > 0;
    }

    // What stood in a row or a column and still nearly does is put in line, where next to nothing is lost by it.
    private void PutInLine()
    {
        foreach (var inX in new[] { false, true })
        {
            var order = Enumerable.Range(0, now.Length).Where(i => !held[i]).OrderBy(i => At(before[i], inX)).ToList();
            for (int from = 0, to; from < order.Count; from = to)
            {
                to = from + 1;
                while (to < order.Count && At(before[order[to]], inX) - At(before[order[to - 1]], inX) <= FinishingTuning.InLine) to++;
                if (to - from > 1) Line(order[from..to], inX);
            }
        }
    }

    private void Line(List<int> row, bool inX)
    {
        var middle = row.Average(i => At(now[i], inX));
        PlacedItem[] trial = [.. now];
        foreach (var i in row)
            trial[i] = PlacedItem.At(now[i].Item, now[i].Count, inX ? middle : now[i].CentreX, inX ? now[i].CentreY : middle, now[i].Turn);
        easing.Leniency = FinishingTuning.LostInLine;
        if (OverlapOf(trial).Descend(0) <= Descent.Solved && tray.AllowsAll(trial)) now = trial;
        easing.Leniency = 0;
    }

    private static double At(PlacedItem item, bool inX) => inX ? item.CentreX : item.CentreY;

    // The items moved until all keep the level; null where that fails, and then how they stand when they come nearest to it.
    private PlacedItem[]? Separated(PlacedItem[] from, out OverlapSearch pressed)
    {
        pressed = OverlapOf(from);
        context.Budget.Tick();
        return pressed.Descend(context.Options.DescentSteps) <= Descent.Solved ? Settled(pressed, from) : null;
    }

    private PlacedItem[]? Settled(OverlapSearch overlap, PlacedItem[] from)
    {
        var model = overlap.Model;
        model.FreezeTurns();
        if (overlap.Descend(context.Options.DescentSteps) > Descent.Solved) return null;
        PlacedItem[] moved = [.. from.Select((s, i) => held[i] ? s
            : PlacedItem.At(s.Item, s.Count, model.V[i], model.V[model.YAt + i], straight[i] ? s.Turn : model.ThousandthsOf(i)))];
        return tray.AllowsAll(moved) ? moved : null;
    }

    private OverlapSearch OverlapOf(PlacedItem[] items)
    {
        var overlap = new OverlapSearch(
            tray.Space.Region,
            [.. items.Select((s, i) => new OverlapItem(s.Item.Shape, s.Height, !straight[i], s.Item.Piece.Touch, held[i]))],
            tray.Space.ShelfTop, distances.Gap, distances.SearchMargin, easing);
        for (var i = 0; i < items.Length; i++)
            overlap.Model.Set(i, items[i].CentreX, items[i].CentreY, items[i].Turn * Turning.RadiansPerThousandth);
        return overlap;
    }
}
