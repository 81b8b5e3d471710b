namespace KilnShare.Core.Loading;

/// <summary>In what order waiting ware is offered to a level.</summary>
internal enum Preference
{
    /// <summary>The tallest first.</summary>
    Height,

    /// <summary>The most weight for its area first.</summary>
    Density,

    /// <summary>The largest footprint first.</summary>
    Area,

    /// <summary>The most weight first.</summary>
    Weight,
}

/// <summary>Room just made on a shelf.</summary>
/// <param name="Window">Where.</param>
/// <param name="Area">Larger pieces are not tried, µm².</param>
internal sealed record Hole(Window Window, double Area);

/// <summary>Fills shelves from the waiting ware.</summary>
internal sealed class Filling(Setting setting, LoadOptions options, Meter meter, Dice dice)
{
    // After a squeeze failed, only what is smaller by this part is squeezed on the same shelves.
    private const double SmallerThanFailed = 0.95;

    // Pieces that find no place before a hole counts as filled.
    private const int MostMisses = 25;

    // How many may make room for one, the fewest first.
    private static readonly int[] Nudges = [1, 2, 4, 8];

    private readonly Insertion insertion = new(setting.Distances, options, meter, dice);

    /// <summary>Offers everything that waits to the shelves in the order preferred; what does not fit is squeezed in while that works.</summary>
    public void Fill(IReadOnlyList<Tray> trays, LotPool pool, Preference preference, double noise, int rounds, int mostFailures, Hole? hole = null)
    {
        if (trays.Count == 0) return;
        var misses = 0;
        var (failures, failedArea) = (0, double.PositiveInfinity);
        var failed = new Failed();
        foreach (var lot in Ordered(pool, preference, noise, trays.Max(t => t.Room.Room), hole?.Area ?? double.MaxValue))
        {
            if (hole is not null && misses > MostMisses) break;
            while (pool.Waiting[lot.Index] > 0 && !meter.Stop)
            {
                if (failed.Covers(lot) || !TryCheaply(trays, lot, hole?.Window))
                {
                    if (!failed.Covers(lot)) misses++;
                    failed.Add(lot);
                    if (failures >= mostFailures || lot.Shape.Area > SmallerThanFailed * failedArea) break;
                    if (!TrySqueeze(trays, lot, rounds))
                    {
                        failures++;
                        failedArea = lot.Shape.Area;
                        break;
                    }

                    // Others have moved: what found no corner before may find one now.
                    failed.Clear();
                }

                pool.Waiting[lot.Index]--;
            }
        }
    }

    /// <summary>Adds one copy to the first shelf that has room for it as things stand; to one as hot as it asks, where there is room on such.</summary>
    public bool TryCheaply(IReadOnlyList<Tray> trays, Lot lot, Window? window = null)
    {
        if (lot.Wish is not null) return trays.OrderBy(t => setting.IsUnmet(lot, t.Room.Floor)).Any(t => insertion.TryPlace(t, lot, window));
        foreach (var tray in trays)
        {
            if (insertion.TryPlace(tray, lot, window)) return true;
        }

        return false;
    }

    /// <summary>Adds one copy to a shelf where the others can be moved to make room.</summary>
    public bool TrySqueeze(IReadOnlyList<Tray> trays, Lot lot, int rounds)
    {
        var first = trays.Count > 1 ? dice.Below(trays.Count) : 0;
        for (var k = 0; k < trays.Count; k++)
        {
            if (insertion.TrySqueeze(trays[(first + k) % trays.Count], lot, rounds)) return true;
        }

        return false;
    }

    /// <summary>Adds what waits where few have to make room for it, the largest first.</summary>
    public void Nudge(IReadOnlyList<Tray> trays, LotPool pool, int rounds)
    {
        foreach (var lot in Ordered(pool, Preference.Area, 0, long.MaxValue, double.MaxValue))
        {
            while (pool.Waiting[lot.Index] > 0 && !meter.Stop && Nudges.Any(moving => trays.Any(t => insertion.TryNudge(t, lot, moving, rounds)))) pool.Waiting[lot.Index]--;
        }
    }

    /// <summary>Adds one copy to one shelf by the longest search.</summary>
    public bool TryHop(Tray tray, Lot lot, int hops) => insertion.TryHop(tray, lot, hops);

    /// <summary>Puts one copy where something stands, which is taken off.</summary>
    public bool TryInstead(Tray tray, int standing, Lot lot, int rounds) => insertion.TryInstead(tray, standing, lot, rounds);

    private List<Lot> Ordered(LotPool pool, Preference preference, double noise, long room, double mostArea)
    {
        double Score(Lot w) => (1 + (noise * (dice.Unit() - 0.5))) * preference switch
        {
            Preference.Height => w.Height,
            Preference.Density => w.Weight * w.StackIn(room, pool.Waiting[w.Index]) / w.Shape.Area,
            Preference.Area => w.Shape.Area,
            _ => w.Weight * w.StackIn(room, pool.Waiting[w.Index]),
        };
        return [.. pool.All.Where(w => pool.Waiting[w.Index] > 0 && w.Height <= room && w.Shape.Area <= mostArea)
            .Select(w => (Lot: w, Score: Score(w))).OrderByDescending(x => x.Score).ThenByDescending(x => x.Lot.Shape.Area)
            .ThenBy(x => x.Lot.Index).Select(x => x.Lot)];
    }

    /// <summary>What found no place: nothing as large finds one either, until something moves.</summary>
    private sealed class Failed
    {
        private readonly List<(double Short, double Long)> boxes = [];
        private double disc = double.PositiveInfinity;

        public bool Covers(Lot lot)
        {
            if (lot.MostStacked > 1) return false;
            if (lot.Shape.IsDisc) return lot.Shape.Bound >= disc;
            if (SidesOf(lot) is not { } sides) return false;
            foreach (var box in boxes)
            {
                if (sides.Short >= box.Short && sides.Long >= box.Long) return true;
            }

            return false;
        }

        public void Add(Lot lot)
        {
            if (lot.Shape.IsDisc) disc = Math.Min(disc, lot.Shape.Bound);
            else if (SidesOf(lot) is { } sides && !Covers(lot)) boxes.Add(sides);
        }

        public void Clear()
        {
            boxes.Clear();
            disc = double.PositiveInfinity;
        }

        // One that may not turn is compared width with width; turning only ever finds more.
        private static (double Short, double Long)? SidesOf(Lot lot)
        {
            if (lot.Piece.Footprint is not Pieces.Footprint.Rectangle r) return null;
            double w = r.Width.Micrometres, d = r.Depth.Micrometres;
            return lot.Piece.MayTurn ? (Math.Min(w, d), Math.Max(w, d)) : (w, d);
        }
    }
}
