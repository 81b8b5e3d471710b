using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>Puts ware back where a start plan had it, where that costs nothing, so that a new plan moves as few pieces as it can.</summary>
internal sealed class StartRepair(InstanceContext context)
{
    private readonly LoadInstance instance = context.Instance;
    private readonly LoadOptions options = context.Options;
    private readonly SearchBudget budget = context.Budget;




    private readonly Insertion insertion = new(context.Instance.Distances, context);
    private int looks;

    /// <summary>The plan with as many copies as possible where they stood; no copy leaves it.</summary>
    public PartialPlan Restore(PartialPlan plan, PartialPlan start)
    {
        foreach (var level in start.Levels)
        {
            if (!budget.Stop) plan = Returned(plan, level) ?? plan;
        }

        var places = PlacesIn(start).ToList();
        for (var round = 0; round < FinishingTuning.RepairRounds; round++)
        {
            var before = plan;
            foreach (var place in places)
            {
                if (looks < FinishingTuning.RepairLooks && !budget.Stop && HomeOf(plan, place) is { } home
                    && !home.PlacedItems.Any(s => IsThere(s, place.Was))) plan = Returned(plan, place) ?? plan;
            }

            if (plan == before) break;
        }

        while (plan.Levels.Count > 0 && plan.Levels[^1].Value == 0) plan.Levels.RemoveAt(plan.Levels.Count - 1);
        return plan;
    }

    private static IEnumerable<Spot> PlacesIn(PartialPlan start) => start.Levels
        .SelectMany(l => l.Trays.SelectMany((t, i) => t.PlacedItems.Select(s => new Spot(l.Origin, i, s))))
        .Concat((start.Kept?.Trays ?? []).SelectMany((t, i) => t.PlacedItems.Select(s => new Spot(null, i, s))));

    // The shelf it stood on; null where that level is gone.
    private static Tray? HomeOf(PartialPlan plan, Spot place) =>
        place.Level is { } level ? plan.Levels.Find(l => l.Origin == level)?.Trays[place.Tray] : plan.Kept!.Trays[place.Tray];

    private static bool IsThere(PlacedItem placedItem, PlacedItem was) =>
        ReferenceEquals(placedItem, was) || (placedItem.Item == was.Item && placedItem.X == was.X && placedItem.Y == was.Y && placedItem.Turn == was.Turn);

    // Turns a level that was built since back into a level of the start plan: its ware goes where it stood, and what else was there goes elsewhere.
    private PartialPlan? Returned(PartialPlan plan, Level was)
    {
        if (plan.Levels.Exists(l => l.Origin == was.Origin)) return null;
        return Enumerable.Range(0, plan.Levels.Count)
            .Where(i => plan.Levels[i].Origin is null && plan.Levels[i].Deck == was.Deck && plan.Levels[i].Halves.Count == 0)
            .OrderByDescending(i => Shared(plan.Levels[i], was)).Select(i => Returned(plan, i, was)).FirstOrDefault(p => p is not null);
    }

    private PartialPlan? Returned(PartialPlan plan, int at, Level was)
    {
        var trial = plan.Copy();
        var now = trial.Levels[at];
        var level = new Level(was.Deck, [.. now.Trays.Select(t => new Tray(t.Space, instance.Distances))], now.CarriesPosts) { Origin = was.Origin };
        trial.Levels[at] = level;
        var left = now.Trays.SelectMany(t => t.PlacedItems).ToList();
        for (var t = 0; t < level.Trays.Count; t++)
        {
            foreach (var placedItem in was.Trays[t].PlacedItems)
            {
                var own = left.FindIndex(s => s.Item == placedItem.Item && s.Count == placedItem.Count);
                if (own < 0 || !level.Trays[t].Allows(placedItem)) continue;
                left.RemoveAt(own);
                level.Trays[t].Add(placedItem);
            }
        }

        return left.OrderByDescending(s => s.Item.Shape.Area).All(s => Place(trial, s) || Nudge(trial, s)) && IsSound(trial) ? trial : null;
    }

    private static int Shared(Level now, Level was) =>
        was.Trays.SelectMany(t => t.PlacedItems).Select(s => s.Item).Intersect(now.Trays.SelectMany(t => t.PlacedItems).Select(s => s.Item)).Count();

    private bool Nudge(PartialPlan plan, PlacedItem placedItem) =>
        placedItem.Count == 1 && AllTrays(plan).Any(t => insertion.TryNudge(t, placedItem.Item, FinishingTuning.RepairNudged, options.SearchRounds));

    // Puts one item back in its place. What stands there now goes wherever there is room.
    private PartialPlan? Returned(PartialPlan plan, Spot place)
    {
        looks++;
        var trial = plan.Copy();
        var (home, was) = (HomeOf(trial, place)!, place.Was);
        foreach (var other in AllTrays(trial))
        {
            var at = IndexOf(other, s => s.Item == was.Item && s.Count == was.Count && s.Were.Count == 0);
            if (at < 0) continue;
            other.RemoveAt(at);
            var away = Clear(home, was);
            if (away is null) return null;
            home.Add(was);
            return away.All(s => Place(trial, s)) && IsSound(trial) ? trial : null;
        }

        return null;
    }

    // Takes off what is in the way; null where that stands in its own place of the start plan.
    private static List<PlacedItem>? Clear(Tray home, PlacedItem was)
    {
        var away = new List<PlacedItem>();
        while (!home.Allows(was))
        {
            var at = IndexOf(home, s => s.Were.Count == 0 && !home.KeepsFrom(s, was));
            if (at < 0) return null;
            away.Add(home.PlacedItems[at]);
            home.RemoveAt(at);
        }

        return away;
    }

    // A stack may be split over several shelves.
    private bool Place(PartialPlan plan, PlacedItem placedItem)
    {
        var left = placedItem.Count;
        foreach (var tray in AllTrays(plan))
        {
            while (left > 0 && insertion.TryPlace(tray, placedItem.Item, null)) left--;
        }

        return left == 0;
    }

    private bool IsSound(PartialPlan plan)
    {
        var before = plan.Value;
        if (plan.Kept is { } kept && !Balancing.Ensure(instance, kept, plan.Pool)) return false;
        foreach (var level in plan.Levels) Balancing.Ensure(instance, plan.Layout, level, plan.Pool);
        return plan.Value == before && Elevations.Of(instance, plan) is not null;
    }

    private static IEnumerable<Tray> AllTrays(PartialPlan plan) => plan.Levels.SelectMany(l => l.Trays).Reverse().Concat(plan.Kept?.Trays ?? []);

    private static int IndexOf(Tray tray, Func<PlacedItem, bool> fits)
    {
        for (var i = 0; i < tray.PlacedItems.Count; i++)
        {
            if (fits(tray.PlacedItems[i])) return i;
        }

        return -1;
    }

    // A level of the start plan, null for shelves that stay; a shelf of it; what stood there.
    private readonly record struct Spot(int? Level, int Tray, PlacedItem Was);
}
