using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <content>Some of what stands on a shelf is taken off for other ware.</content>
internal sealed partial class Neighbourhood
{
    // A piece may take so many times the area that was cleared, with what was free around it.
    private const double Roomier = 1.5;

    // One that waits gets so much of its own area cleared for it: less where others can be pushed aside.
    private const double LeastCleared = 0.5;
    private const double MostCleared = 1.3;

    // Exchanges looked at, of which the one that promises most is tried.
    private const int Draws = 5;

    // What stands near one place on a shelf is taken off, and the shelf is filled anew.
    private PartialPlan? Refilled(PartialPlan plan, int first = 0)
    {
        var trial = plan.Copy();
        if (AnyShelves(trial, first) is not { } trays) return null;
        var tray = trays[random.Below(trays.Count)];
        var near = NearOnePlace(tray);
        if (near.Count == 0) return null;
        var boxes = near.TrueForAll(i => Insertion.IsRectangle(tray.PlacedItems[i].Item));
        List<int> taken = [.. near.Take(1 + random.Below(boxes ? 7 : 4))];
        var hole = new Hole(Window.About(taken.Select(i => tray.PlacedItems[i])), Roomier * taken.Sum(i => tray.PlacedItems[i].Item.Shape.Area));
        TakeOff(tray, taken, trial.Pool);
        builder.Filling.Fill(trays, trial.Pool, (Preference)(1 + random.Below(3)), 0.6, options.SearchRounds, boxes && random.Below(1000) > 0 ? 0 : 2, hole);
        return Sound(trial);
    }

    // One that waits takes the place of what stands together somewhere and is worth less; what room is left is filled.
    private PartialPlan? Replaced(PartialPlan plan)
    {
        var trial = plan.Copy();
        if (AnyShelves(trial) is not { } trays) return null;
        var tray = trays[random.Below(trays.Count)];
        if (BestExchange(tray, trial.Pool) is not { } exchange) return null;
        TakeOff(tray, exchange.Taken, trial.Pool);
        if (!builder.Filling.TryCheaply([tray], exchange.Comes) && !Squeeze(tray, exchange.Comes)) return null;
        trial.Pool.Waiting[exchange.Comes.Index]--;
        builder.Filling.Fill(trays, trial.Pool, random.Below(2) == 0 ? Preference.Density : Preference.Value, 0.3, options.SearchRounds, 1);
        return Sound(trial);
    }

    // Each third time by a long search: what a shelf holds then depends less on how the shelf lies.
    private bool Squeeze(Tray tray, Item item) => random.Below(3) == 0
        ? builder.Filling.TryHop(tray, item, 3 * options.FirstHops)
        : builder.Filling.TrySqueeze([tray], item, options.SearchRounds);

    private (Item Comes, List<int> Taken)? BestExchange(Tray tray, ItemPool pool)
    {
        (Item, List<int>)? best = null;
        var most = long.MinValue;
        for (var draw = 0; draw < Draws; draw++)
        {
            if (AnyWaiting(pool) is not { } item || item.Height > tray.Space.Height) continue;
            var taken = Clearing(tray, item.Shape.Area * random.Between(LeastCleared, MostCleared));
            if (taken.Exists(i => tray.PlacedItems[i].Item == item)) continue;
            var gain = (item.Value * item.StackIn(tray.Space.Height, pool.Waiting[item.Index])) - taken.Sum(i => tray.PlacedItems[i].Item.Value * tray.PlacedItems[i].Count);
            if (gain > most) (best, most) = ((item, taken), gain);
        }

        return best;
    }

    // So much of what stands near one place that so much area becomes free.
    private List<int> Clearing(Tray tray, double area)
    {
        var taken = new List<int>();
        foreach (var i in NearOnePlace(tray))
        {
            if (area <= 0) break;
            taken.Add(i);
            area -= tray.PlacedItems[i].Item.Shape.Area;
        }

        return taken;
    }

    // What may move, the nearest to one of them first.
    private List<int> NearOnePlace(Tray tray)
    {
        List<int> movable = [.. Enumerable.Range(0, tray.PlacedItems.Count).Where(i => tray.PlacedItems[i].Kept.Count == 0)];
        if (movable.Count == 0) return movable;
        var middle = tray.PlacedItems[movable[random.Below(movable.Count)]];
        return [.. movable.OrderBy(i => Plane.Distance(tray.PlacedItems[i].CentreX, tray.PlacedItems[i].CentreY, middle.CentreX, middle.CentreY))];
    }

    private static void TakeOff(Tray tray, List<int> taken, ItemPool pool)
    {
        foreach (var i in taken.OrderDescending())
        {
            pool.Waiting[tray.PlacedItems[i].Item.Index] += tray.PlacedItems[i].Count;
            tray.RemoveAt(i);
        }
    }
}
