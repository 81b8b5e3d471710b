namespace KilnShare.Core.Loading;

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
    private Pile? Refilled(Pile pile, int first = 0)
    {
        var trial = pile.Copy();
        if (AnyShelves(trial, first) is not { } trays) return null;
        var tray = trays[dice.Below(trays.Count)];
        var near = NearOnePlace(tray);
        if (near.Count == 0) return null;
        var boxes = near.TrueForAll(i => Insertion.IsBox(tray.Standings[i].Lot));
        List<int> taken = [.. near.Take(1 + dice.Below(boxes ? 7 : 4))];
        var hole = new Hole(Window.About(taken.Select(i => tray.Standings[i])), Roomier * taken.Sum(i => tray.Standings[i].Lot.Shape.Area));
        TakeOff(tray, taken, trial.Pool);
        building.Filling.Fill(trays, trial.Pool, (Preference)(1 + dice.Below(3)), 0.6, options.SearchRounds, boxes && dice.Below(1000) > 0 ? 0 : 2, hole);
        return Sound(trial);
    }

    // One that waits takes the place of what stands together somewhere and is worth less; what room is left is filled.
    private Pile? Replaced(Pile pile)
    {
        var trial = pile.Copy();
        if (AnyShelves(trial) is not { } trays) return null;
        var tray = trays[dice.Below(trays.Count)];
        if (BestExchange(tray, trial.Pool) is not { } exchange) return null;
        TakeOff(tray, exchange.Taken, trial.Pool);
        if (!building.Filling.TryCheaply([tray], exchange.Comes) && !Squeeze(tray, exchange.Comes)) return null;
        trial.Pool.Waiting[exchange.Comes.Index]--;
        building.Filling.Fill(trays, trial.Pool, dice.Below(2) == 0 ? Preference.Density : Preference.Weight, 0.3, options.SearchRounds, 1);
        return Sound(trial);
    }

    // Each third time by a long search: what a shelf holds then depends less on how the shelf lies.
    private bool Squeeze(Tray tray, Lot lot) => dice.Below(3) == 0
        ? building.Filling.TryHop(tray, lot, 3 * options.FirstHops)
        : building.Filling.TrySqueeze([tray], lot, options.SearchRounds);

    private (Lot Comes, List<int> Taken)? BestExchange(Tray tray, LotPool pool)
    {
        (Lot, List<int>)? best = null;
        var most = long.MinValue;
        for (var draw = 0; draw < Draws; draw++)
        {
            if (AnyWaiting(pool) is not { } lot || lot.Height > tray.Room.Room) continue;
            var taken = Clearing(tray, lot.Shape.Area * dice.Between(LeastCleared, MostCleared));
            if (taken.Exists(i => tray.Standings[i].Lot == lot)) continue;
            var gain = (lot.Weight * lot.StackIn(tray.Room.Room, pool.Waiting[lot.Index])) - taken.Sum(i => tray.Standings[i].Lot.Weight * tray.Standings[i].Count);
            if (gain > most) (best, most) = ((lot, taken), gain);
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
            area -= tray.Standings[i].Lot.Shape.Area;
        }

        return taken;
    }

    // What may move, the nearest to one of them first.
    private List<int> NearOnePlace(Tray tray)
    {
        List<int> movable = [.. Enumerable.Range(0, tray.Standings.Count).Where(i => tray.Standings[i].Kept.Count == 0)];
        if (movable.Count == 0) return movable;
        var middle = tray.Standings[movable[dice.Below(movable.Count)]];
        return [.. movable.OrderBy(i => Geometry.Distance(tray.Standings[i].CentreX, tray.Standings[i].CentreY, middle.CentreX, middle.CentreY))];
    }

    private static void TakeOff(Tray tray, List<int> taken, LotPool pool)
    {
        foreach (var i in taken.OrderDescending())
        {
            pool.Waiting[tray.Standings[i].Lot.Index] += tray.Standings[i].Count;
            tray.RemoveAt(i);
        }
    }
}
