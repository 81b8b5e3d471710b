using KilnShare.Core.Loading.Levels;

namespace KilnShare.Core.Loading.Search;

/// <summary>Moves by which one item that waits is brought onto a shelf while all that stands there stays.</summary>
internal sealed class WaitingItemMoves(InstanceContext context, LevelBuilder builder, MoveBasis basis)
{
    private int hops = context.Options.FirstHops;

    /// <summary>The plan with one item squeezed in; null where it does not go.</summary>
    public PartialPlan? Squeeze(PartialPlan plan)
    {
        var trial = plan.Copy();
        if (basis.AnyWaiting(trial.Pool) is not { } item || basis.AnyShelves(trial) is not { } trays) return null;
        if (!builder.Filling.TryCheaply(trays, item) && !builder.Filling.TrySqueeze(trays, item, context.Options.SearchRounds)) return null;
        trial.Pool.Waiting[item.Index]--;
        return basis.Sound(trial);
    }

    /// <summary>The plan with one item brought in by basin hopping on one shelf; the longer the more such searches have failed.</summary>
    public PartialPlan? Hop(PartialPlan plan)
    {
        var trial = plan.Copy();
        if (basis.AnyWaiting(trial.Pool) is not { } item || basis.AnyShelves(trial) is not { } trays) return null;
        hops = Math.Min(context.Options.MostHops, hops + (hops / 4));
        if (!builder.Filling.TryHop(trays[context.Random.Below(trays.Count)], item, hops)) return null;
        hops = context.Options.FirstHops;
        trial.Pool.Waiting[item.Index]--;
        return basis.Sound(trial);
    }
}
