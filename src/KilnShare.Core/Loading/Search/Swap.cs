using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>A move: an item that waits takes the place of what stands together somewhere and is worth less; what room is left is filled.</summary>
internal sealed class Swap(InstanceContext context, LevelBuilder builder, MoveBasis basis)
{
    /// <summary>The plan with the swap made; null where it does not go.</summary>
    public PartialPlan? Try(PartialPlan plan)
    {
        var random = context.Random;
        var trial = plan.Copy();
        if (basis.AnyShelves(trial) is not { } trays) return null;
        var tray = trays[random.Below(trays.Count)];
        if (Best(tray, trial.Pool) is not { } swap) return null;
        ShelfClearing.TakeOff(tray, swap.Taken, trial.Pool);
        if (!builder.Filling.TryCheaply([tray], swap.Comes) && !Squeeze(tray, swap.Comes)) return null;
        trial.Pool.Waiting[swap.Comes.Index]--;
        builder.Filling.Fill(
            trays, trial.Pool, random.Below(2) == 0 ? Preference.Density : Preference.Value, SearchTuning.SwapNoise, context.Options.SearchRounds,
            SearchTuning.SwapFailures);
        return basis.Sound(trial);
    }

    // Each third time by basin hopping: then it depends less on how the items stood before.
    private bool Squeeze(Tray tray, Item item) => context.Random.Below(3) == 0
        ? builder.Filling.TryHop(tray, item, 3 * context.Options.FirstHops)
        : builder.Filling.TrySqueeze([tray], item, context.Options.SearchRounds);

    // Of some swaps drawn, the one that gains most.
    private (Item Comes, List<int> Taken)? Best(Tray tray, ItemPool pool)
    {
        (Item, List<int>)? best = null;
        var most = long.MinValue;
        for (var draw = 0; draw < SearchTuning.SwapDraws; draw++)
        {
            if (basis.AnyWaiting(pool) is not { } item || item.Height > tray.Space.Height) continue;
            var taken = ShelfClearing.OfArea(
                tray, item.Shape.Area * context.Random.Between(SearchTuning.LeastCleared, SearchTuning.MostCleared), context.Random);
            if (taken.Exists(i => tray.PlacedItems[i].Item == item)) continue;
            var gain = (item.Value * item.StackIn(tray.Space.Height, pool.Waiting[item.Index]))
                - taken.Sum(i => tray.PlacedItems[i].Item.Value * tray.PlacedItems[i].Count);
            if (gain > most) (best, most) = ((item, taken), gain);
        }

        return best;
    }
}
