using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <content>One piece takes the place of another near it in size, on any level.</content>
internal sealed partial class Neighbourhood
{
    // By so much of the other's area a piece that takes a place may be larger or smaller.
    private const double MostLarger = 1.15;
    private const double MostSmaller = 0.7;

    // Pieces in one chain at most.
    private const int LongestChain = 3;

    private const int SwapRounds = 3;

    // One that waits takes a place, what stood there takes another's, until what is left over is light enough to wait (ejection chains, Glover 1996).
    private PartialPlan? Swapped(PartialPlan plan, long mostLoss)
    {
        if (AnyWaiting(plan.Pool) is not { } comes) return null;
        var trial = plan.Copy();
        var lightEnough = comes.Value + mostLoss;
        trial.Pool.Waiting[comes.Index]--;
        for (var step = 1; step <= LongestChain; step++)
        {
            var ends = step == LongestChain || random.Below(2) == 0;
            if (AnyPlaceFor(comes, trial, ends ? lightEnough : long.MaxValue) is not var (tray, i)) return null;
            var goes = tray.PlacedItems[i].Item;
            if (!builder.Filling.TryInstead(tray, i, comes, SwapRounds)) return null;
            if (goes.Value <= lightEnough)
            {
                trial.Pool.Waiting[goes.Index]++;
                return Sound(trial);
            }

            comes = goes;
        }

        return null;
    }

    // Each place that would do is as likely.
    private (Tray Tray, int PlacedItem)? AnyPlaceFor(Item comes, PartialPlan plan, long mostValue)
    {
        (Tray, int)? drawn = null;
        var found = 0;
        foreach (var level in plan.Levels)
        {
            foreach (var tray in level.Trays)
            {
                for (var i = 0; i < tray.PlacedItems.Count && comes.Height <= tray.Space.Height; i++)
                {
                    if (MayGoFor(comes, tray.PlacedItems[i], mostValue) && random.Below(++found) == 0) drawn = (tray, i);
                }
            }
        }

        return drawn;
    }

    private static bool MayGoFor(Item comes, PlacedItem goes, long mostValue)
    {
        if (goes.Item == comes || goes.Count > 1 || goes.Kept.Count > 0 || goes.Item.Value > mostValue) return false;
        var ratio = comes.Shape.Area / goes.Item.Shape.Area;
        return ratio is >= MostSmaller and <= MostLarger;
    }
}
