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
/// grow is found by halving; each try is a descent of the overlap energy, for the least distance also a short guided local search; and what it finds is
/// taken over only where it is exactly sound.
/// </remarks>
internal sealed class SlackSharing
{
    private readonly SlackShelf shelf;
    private readonly SlackWork work;
    private readonly SearchContext context;

    private SlackSharing(Tray tray, Distances distances, IReadOnlyList<bool> held, SlackWork work)
    {
        (this.work, context) = (work, work.Context());
        shelf = new SlackShelf(tray, distances, held, context);
    }

    /// <summary>Where the items of a shelf stand then, in the same order.</summary>
    /// <param name="tray">The shelf as it is; sound.</param>
    /// <param name="shelfTurn">How the shelf is turned, thousandths of a degree.</param>
    /// <param name="held">By item: whether it must stay where it is.</param>
    /// <param name="distances">What is owed.</param>
    /// <param name="work">How to search, and for how long.</param>
    public static IReadOnlyList<PlacedItem> Share(Tray tray, int shelfTurn, IReadOnlyList<bool> held, Distances distances, SlackWork work)
    {
        var sharing = new SlackSharing(tray, distances, held, work);
        sharing.shelf.HoldTheTight();
        sharing.Straighten(shelfTurn);
        sharing.Grow();
        sharing.PutInLine();
        return sharing.shelf.Now;
    }

    // Turns what stands askew to the nearest half of a right angle, all at once or, where that fails, one after the other.
    private void Straighten(int shelfTurn)
    {
        var askew = new List<(int Item, int Off)>();
        for (var i = 0; i < shelf.Now.Count; i++)
        {
            var off = Askew(shelf.Now[i].Turn, shelfTurn);
            var isStraight = shelf.Held[i] || shelf.Now[i].Item.Shape.IsDisc || !shelf.Now[i].Item.Piece.MayTurn || off == 0;
            shelf.MarkStraight(i, isStraight);
            if (!isStraight) askew.Add((i, off));
        }

        if (askew.Count == 0 || Turned(askew)) return;
        foreach (var one in askew.OrderBy(a => Math.Abs(a.Off)).Take(FinishingTuning.StraightenedSingly)) Turned([one]);
    }

    private bool Turned(IReadOnlyList<(int Item, int Off)> askew)
    {
        if (context.Budget.Stop) return false;
        PlacedItem[] turned = [.. shelf.Now];
        foreach (var (i, off) in askew)
        {
            var item = shelf.Now[i];
            turned[i] = PlacedItem.At(item.Item, item.Count, item.CentreX, item.CentreY, Turning.Normalise(item.Turn - off));
            shelf.MarkStraight(i, true);
        }

        if (shelf.Separated(turned, out _) is { } apart)
        {
            shelf.Now = apart;
            return true;
        }

        foreach (var (i, _) in askew) shelf.MarkStraight(i, false);
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
        while (missing is not null && Fixed(missing) && !shelf.Held.All(h => h)) missing = GrownTogether(ref step);
    }

    // Raises the level as far as descents can, and returns what was in the way of more; null where there may be no more tries. The step is for the next time.
    private IReadOnlyList<(int Item, int Other, bool IsEdge, double Depth)>? GrownTogether(ref double step)
    {
        var (from, reached, failed) = (shelf.Easing.Level, 0.0, double.PositiveInfinity);
        IReadOnlyList<(int, int, bool, double)> missing = [];
        for (var next = step; failed - reached > FinishingTuning.LeastGrowth; next = double.IsInfinity(failed) ? 2 * reached : (reached + failed) / 2)
        {
            if (context.Budget.Stop)
            {
                shelf.Easing.Level = from + reached;
                return null;
            }

            shelf.Easing.Level = from + next;
            if (shelf.Separated(shelf.Now, out var pressed) is { } apart) (shelf.Now, reached) = (apart, next);
            else (failed, missing) = (next, pressed.Missing(shelf.Easing));
        }

        step = Math.Max(FinishingTuning.LeastGrowth, reached / 2);
        shelf.Easing.Level = from + reached;
        return missing;
    }

    // Raises the least distance, which is what hands go by, with a longer search for a part of the work; true where that helped.
    private bool GrownGuided(double step)
    {
        var (from, guided) = (shelf.Easing.Level, work.Guided());
        while (step >= FinishingTuning.LeastGrowth && !guided.Budget.Stop)
        {
            shelf.Easing.Level += step;
            var overlap = shelf.OverlapOf(shelf.Now);
            if ((overlap.Squeeze(FinishingTuning.GuidedRounds, guided.Options.DescentSteps, guided) ? shelf.Settled(overlap, shelf.Now) : null) is { } apart)
            {
                shelf.Now = apart;
                continue;
            }

            shelf.Easing.Level -= step;
            step /= 2;
        }

        return shelf.Easing.Level > from;
    }

    // Lets what was in the way grow no more; false where that was nothing that grows.
    private bool Fixed(IReadOnlyList<(int Item, int Other, bool IsEdge, double Depth)> missing)
    {
        var most = missing.Select(m => m.Depth).DefaultIfEmpty(0).Max();
        foreach (var (i, other, isEdge, _) in missing.Where(m => m.Depth >= most * FinishingTuning.JammedPart))
        {
            if (isEdge) shelf.Easing.FixEdge(i, other, shelf.Easing.Level);
            else shelf.Easing.FixPair(i, other, shelf.Easing.Level);
            // Where nothing gave way at all, nothing is moved any more, so that no distance becomes shorter by a rounding.
            if (shelf.Easing.Level > 0) continue;
            shelf.Hold(i);
            if (!isEdge && other < shelf.Now.Count) shelf.Hold(other);
        }

        return missing.Count > 0;
    }

    // What stood in a row or a column and still nearly does is put in line, where next to nothing is lost by it.
    private void PutInLine()
    {
        foreach (var inX in new[] { false, true })
        {
            var order = Enumerable.Range(0, shelf.Now.Count).Where(i => !shelf.Held[i]).OrderBy(i => At(shelf.Before[i], inX)).ToList();
            for (int from = 0, to; from < order.Count; from = to)
            {
                to = from + 1;
                while (to < order.Count && At(shelf.Before[order[to]], inX) - At(shelf.Before[order[to - 1]], inX) <= FinishingTuning.InLine) to++;
                if (to - from > 1) Line(order[from..to], inX);
            }
        }
    }

    private void Line(List<int> row, bool inX)
    {
        var middle = row.Average(i => At(shelf.Now[i], inX));
        PlacedItem[] trial = [.. shelf.Now];
        foreach (var i in row)
            trial[i] = PlacedItem.At(trial[i].Item, trial[i].Count, inX ? middle : trial[i].CentreX, inX ? trial[i].CentreY : middle, trial[i].Turn);
        shelf.Easing.Leniency = FinishingTuning.LostInLine;
        if (shelf.OverlapOf(trial).Descend(0) <= Descent.Solved && shelf.Allows(trial)) shelf.Now = trial;
        shelf.Easing.Leniency = 0;
    }

    private static double At(PlacedItem item, bool inX) => inX ? item.CentreX : item.CentreY;
}
