using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>
/// A move: an item that waits takes a place on any level, what stood there takes another's, until what is left over is worth little enough
/// to wait (ejection chains, Glover 1996). An item takes the place of one near it in size.
/// </summary>
internal sealed class EjectionChain(InstanceContext context, LevelBuilder builder, MoveBasis basis)
{
    /// <summary>The plan with a chain made that loses no more than so much value; null where the one drawn does not go.</summary>
    public PartialPlan? Try(PartialPlan plan, long mostLoss)
    {
        if (basis.AnyWaiting(plan.Pool) is not { } comes) return null;
        var trial = plan.Copy();
        var mayWait = comes.Value + mostLoss;
        trial.Pool.Waiting[comes.Index]--;
        for (var step = 1; step <= SearchTuning.LongestChain; step++)
        {
            var ends = step == SearchTuning.LongestChain || context.Random.Below(2) == 0;
            if (AnyPlaceFor(comes, trial, ends ? mayWait : long.MaxValue) is not var (tray, i)) return null;
            var goes = tray.PlacedItems[i].Item;
            if (!builder.Filling.TryInstead(tray, i, comes, SearchTuning.ChainRounds)) return null;
            if (goes.Value <= mayWait)
            {
                trial.Pool.Waiting[goes.Index]++;
                return basis.Sound(trial);
            }

            comes = goes;
        }

        return null;
    }

    // Each place that would do is as likely.
    private (Tray Tray, int At)? AnyPlaceFor(Item comes, PartialPlan plan, long mostValue)
    {
        (Tray, int)? drawn = null;
        var found = 0;
        foreach (var level in plan.Levels)
        {
            foreach (var tray in level.Trays)
            {
                for (var i = 0; i < tray.PlacedItems.Count && comes.Height <= tray.Space.Height; i++)
                {
                    if (MayGoFor(comes, tray.PlacedItems[i], mostValue) && context.Random.Below(++found) == 0) drawn = (tray, i);
                }
            }
        }

        return drawn;
    }

    private static bool MayGoFor(Item comes, PlacedItem goes, long mostValue)
    {
        if (goes.Item == comes || goes.Count > 1 || goes.Kept.Count > 0 || goes.Item.Value > mostValue) return false;
        var ratio = comes.Shape.Area / goes.Item.Shape.Area;
        return ratio is >= SearchTuning.MostSmaller and <= SearchTuning.MostLarger;
    }
}
