using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>
/// Moves items that wish for a hotter or cooler place to a level that is so: into free room, or in exchange for another item. It must cost
/// nothing: no item leaves the load. What stands where a start plan had it is left alone.
/// </summary>
internal sealed class HeatWishes(InstanceContext context)
{
    private readonly LoadInstance instance = context.Instance;
    private readonly LoadOptions options = context.Options;
    private readonly SearchBudget budget = context.Budget;



    private readonly Insertion insertion = new(context.Instance.Distances, context);
    private int looks;

    /// <summary>The plan with more wishes met; the same plan where nothing wishes, or nothing can be done.</summary>
    public PartialPlan Meet(PartialPlan plan)
    {
        if (!IsAsked(instance, plan.Pool)) return plan;
        for (var round = 0; round < FinishingTuning.WishRounds; round++)
        {
            var before = plan;
            for (var from = 0; from < Trays(plan).Count; from++)
            {
                for (var at = Trays(plan)[from].PlacedItems.Count - 1; at >= 0 && !budget.Stop; at--) plan = Moved(plan, from, at) ?? plan;
            }

            if (plan == before) break;
        }

        return plan;
    }

    /// <summary>True where some ware wishes for a hot or cool place, and the kiln's hot and cool zones are known.</summary>
    public static bool IsAsked(LoadInstance instance, ItemPool pool) => instance.Problem.HeatZones.Count > 0 && pool.All.Any(l => l.Wish is not null);

    /// <summary>Copies whose wish is not met; null where the levels do not fit in that order.</summary>
    public static int? Unmet(LoadInstance instance, PartialPlan plan, IReadOnlyList<Level> levels)
    {
        if (Elevations.Of(instance, plan, levels) is not { } elevation) return null;
        var unmet = 0;
        foreach (var (tray, shelfTop) in TraysOf(plan, levels, elevation))
            unmet += tray.PlacedItems.Where(s => instance.IsUnmet(s.Item, shelfTop)).Sum(s => s.Count);
        return unmet;
    }

    private static List<(Tray Tray, long ShelfTop)> TraysOf(PartialPlan plan, IReadOnlyList<Level> levels, Elevation elevation)
    {
        List<(Tray, long)> trays = [.. (plan.Kept?.Trays ?? []).Select(t => (t, t.Space.ShelfTop))];
        for (var i = 0; i < levels.Count; i++)
        {
            for (var t = 0; t < levels[i].Trays.Count; t++) trays.Add(
                (levels[i].Trays[t], elevation.Undersides[i] + levels[i].Deck.Thickness + levels[i].OffsetOf(t)));
        }

        return trays;
    }

    // The plan with one item moved to where it wishes to be; null when it is there already, or cannot be moved.
    private PartialPlan? Moved(PartialPlan plan, int from, int at)
    {
        if (Elevations.Of(instance, plan) is not { } elevation) return null;
        var trays = TraysOf(plan, plan.Levels, elevation);
        if (at >= trays[from].Tray.PlacedItems.Count) return null;
        var placedItem = trays[from].Tray.PlacedItems[at];
        if (placedItem.Were.Count > 0 || placedItem.Count > 1 || !instance.IsUnmet(placedItem.Item, trays[from].ShelfTop)) return null;
        return Enumerable.Range(0, trays.Count)
            .Where(to => !instance.IsUnmet(placedItem.Item, trays[to].ShelfTop) && placedItem.Height <= trays[to].Tray.Space.Height)
            .Select(to => Moved(plan, from, at, to)).FirstOrDefault(p => p is not null);
    }

    private PartialPlan? Moved(PartialPlan plan, int from, int at, int to)
    {
        if (Tried(plan, from, at, to, null) is { } moved) return moved;
        var (others, own) = (Trays(plan)[to].PlacedItems, Trays(plan)[from].PlacedItems[at].Item.Shape.Area);
        // Items of about the same size change places most easily.
        return Enumerable.Range(0, others.Count)
            .Where(i => others[i].Were.Count == 0 && others[i].Count == 1 && others[i].Item.Wish != Trays(plan)[from].PlacedItems[at].Item.Wish)
            .OrderBy(i => Math.Abs(others[i].Item.Shape.Area - own)).Take(FinishingTuning.WishOthers)
            .Select(other => Tried(plan, from, at, to, other)).FirstOrDefault(p => p is not null);
    }

    private PartialPlan? Tried(PartialPlan plan, int from, int at, int to, int? other)
    {
        if (looks++ >= FinishingTuning.WishLooks || budget.Stop) return null;
        var trial = plan.Copy();
        var (source, target) = (Trays(trial)[from], Trays(trial)[to]);
        var (comes, goes) = (source.PlacedItems[at], other is { } o ? target.PlacedItems[o] : null);
        source.RemoveAt(at);
        if (other is { } index) target.RemoveAt(index);
        if (!Put(target, comes) || (goes is not null && !Put(source, goes))) return null;
        var before = trial.Value;
        foreach (var level in trial.Levels) Balancing.Ensure(instance, trial.Layout, level, trial.Pool);
        if (trial.Kept is { } kept && !Balancing.Ensure(instance, kept, trial.Pool)) return null;
        return trial.Value == before && Unmet(instance, trial, trial.Levels) is { } unmet && unmet < Unmet(instance, plan, plan.Levels) ? trial : null;
    }

    private bool Put(Tray tray, PlacedItem placedItem) =>
        insertion.TryPlace(tray, placedItem.Item, null)
        || (tray.PlacedItems.All(s => s.Were.Count == 0) && insertion.TryNudge(tray, placedItem.Item, FinishingTuning.WishNudged, options.FirstRounds));

    private static List<Tray> Trays(PartialPlan plan) => [.. plan.Kept?.Trays ?? [], .. plan.Levels.SelectMany(l => l.Trays)];
}
