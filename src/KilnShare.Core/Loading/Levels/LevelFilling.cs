using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Levels;

/// <summary>Fills shelves from the waiting ware.</summary>
internal sealed class LevelFilling(InstanceContext context)
{
    private readonly LoadInstance instance = context.Instance;
    private readonly SearchBudget budget = context.Budget;
    private readonly SeededRandom random = context.Random;



    // How many placed items may be moved for one more, the fewest first.
    private static readonly int[] Nudges = [1, 2, 4, 8];

    private readonly Insertion insertion = new(context.Instance.Distances, context);

    /// <summary>Offers all that waits to the shelves in the preferred order. What does not fit is squeezed in, until too many tries have failed.</summary>
    public void Fill(IReadOnlyList<Tray> trays, ItemPool pool, Preference preference, double noise, int rounds, int mostFailures, Hole? hole = null)
    {
        if (trays.Count == 0) return;
        var misses = 0;
        var (failures, failedArea) = (0, double.PositiveInfinity);
        var failed = new Failed();
        foreach (var item in Ordered(pool, preference, noise, trays.Max(t => t.Space.Height), hole?.Area ?? double.MaxValue))
        {
            if (hole is not null && misses > LevelTuning.MostMisses) break;
            while (pool.Waiting[item.Index] > 0 && !budget.Stop)
            {
                if (failed.Covers(item) || !TryCheaply(trays, item, hole?.Window))
                {
                    if (!failed.Covers(item)) misses++;
                    failed.Add(item);
                    if (failures >= mostFailures || item.Shape.Area > LevelTuning.SmallerThanFailed * failedArea) break;
                    if (!TrySqueeze(trays, item, rounds))
                    {
                        failures++;
                        failedArea = item.Shape.Area;
                        break;
                    }

                    // Others have moved: what found no corner before may find one now.
                    failed.Clear();
                }

                pool.Waiting[item.Index]--;
            }
        }
    }

    /// <summary>Adds one copy to the first shelf that has room for it without moving anything; first of all to a shelf that is as hot as it wishes.</summary>
    public bool TryCheaply(IReadOnlyList<Tray> trays, Item item, Window? window = null)
    {
        if (item.Wish is not null) return trays.OrderBy(t => instance.IsUnmet(item, t.Space.ShelfTop)).Any(t => insertion.TryPlace(t, item, window));
        foreach (var tray in trays)
        {
            if (insertion.TryPlace(tray, item, window)) return true;
        }

        return false;
    }

    /// <summary>Adds one copy to a shelf where the others can be moved to make room.</summary>
    public bool TrySqueeze(IReadOnlyList<Tray> trays, Item item, int rounds)
    {
        var first = trays.Count > 1 ? random.Below(trays.Count) : 0;
        for (var k = 0; k < trays.Count; k++)
        {
            if (insertion.TrySqueeze(trays[(first + k) % trays.Count], item, rounds)) return true;
        }

        return false;
    }

    /// <summary>Adds what waits, the largest first, where only a few items have to move for it.</summary>
    public void Nudge(IReadOnlyList<Tray> trays, ItemPool pool, int rounds)
    {
        foreach (var item in Ordered(pool, Preference.Area, 0, long.MaxValue, double.MaxValue))
        {
            while (pool.Waiting[item.Index] > 0 && !budget.Stop
                && Nudges.Any(moving => trays.Any(t => insertion.TryNudge(t, item, moving, rounds)))) pool.Waiting[item.Index]--;
        }
    }

    /// <summary>Adds one copy to one shelf by basin hopping.</summary>
    public bool TryHop(Tray tray, Item item, int hops) => insertion.TryHop(tray, item, hops);

    /// <summary>Puts one copy where something stands, which is taken off.</summary>
    public bool TryInstead(Tray tray, int placedItem, Item item, int rounds) => insertion.TryInstead(tray, placedItem, item, rounds);

    private List<Item> Ordered(ItemPool pool, Preference preference, double noise, long clearHeight, double mostArea)
    {
        double Score(Item w) => (1 + (noise * (random.Unit() - 0.5))) * preference switch
        {
            Preference.Height => w.Height,
            Preference.Density => w.Value * w.StackIn(clearHeight, pool.Waiting[w.Index]) / w.Shape.Area,
            Preference.Area => w.Shape.Area,
            _ => w.Value * w.StackIn(clearHeight, pool.Waiting[w.Index]),
        };
        return [.. pool.All.Where(w => pool.Waiting[w.Index] > 0 && w.Height <= clearHeight && w.Shape.Area <= mostArea)
            .Select(w => (Item: w, Score: Score(w))).OrderByDescending(x => x.Score).ThenByDescending(x => x.Item.Shape.Area)
            .ThenBy(x => x.Item.Index).Select(x => x.Item)];
    }

    /// <summary>Items that found no place: nothing as large finds one either, until something moves.</summary>
    private sealed class Failed
    {
        private readonly List<(double Short, double Long)> boxes = [];
        private double disc = double.PositiveInfinity;

        public bool Covers(Item item)
        {
            if (item.MostStacked > 1) return false;
            if (item.Shape.IsDisc) return item.Shape.Bound >= disc;
            if (SidesOf(item) is not { } sides) return false;
            foreach (var box in boxes)
            {
                if (sides.Short >= box.Short && sides.Long >= box.Long) return true;
            }

            return false;
        }

        public void Add(Item item)
        {
            if (item.Shape.IsDisc) disc = Math.Min(disc, item.Shape.Bound);
            else if (SidesOf(item) is { } sides && !Covers(item)) boxes.Add(sides);
        }

        public void Clear()
        {
            boxes.Clear();
            disc = double.PositiveInfinity;
        }

        // One that may not turn is compared width with width. That is safe: turning only ever finds more places.
        private static (double Short, double Long)? SidesOf(Item item)
        {
            if (item.Piece.Footprint is not Pieces.Footprint.Rectangle r) return null;
            double w = r.Width.Micrometres, d = r.Depth.Micrometres;
            return item.Piece.MayTurn ? (Math.Min(w, d), Math.Max(w, d)) : (w, d);
        }
    }
}
