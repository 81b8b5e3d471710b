using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>
/// Exchanges rectangles on one shelf for better ones: takes some off that stand together and fills the hole anew
/// (large neighbourhood search, Shaw 1998, over largest free rectangles). It works in plain arrays, so that thousands of steps take a tenth of a
/// second.
/// </summary>
internal sealed class RectangleSearch
{



    private readonly Tray tray;
    private readonly ItemPool pool;
    private readonly SeededRandom random;
    private readonly double owed;
    private readonly RectangleShelf shelf;
    private readonly List<PlacedItem> fixedItems = [];
    private readonly double[] values;
    private readonly RectangleFill fill;
    private readonly double least;
    private RectangleState now;
    private RectangleState before;
    private RectangleState best;
    private readonly bool valueIsArea;
    private readonly bool valueIsCount;
    private double[] distance = [];
    private double taken;

    private RectangleSearch(Tray tray, ItemPool pool, Distances distances, SeededRandom random, bool byArea)
    {
        (this.tray, this.pool, this.random) = (tray, pool, random);
        owed = distances.Gap + distances.Margin;
        shelf = new RectangleShelf(tray.Space, distances);
        var usable = pool.All.Select(w => IsPlain(w) && w.Height <= tray.Space.Height).ToArray();
        // Of two states worth the same, the one that covers less area is better.
        var perArea = byArea ? 0 : 0.5 * pool.All.Min(w => w.Value) / tray.Space.Area;
        values = [.. pool.All.Select(w => byArea ? w.Shape.Area : w.Value - (perArea * w.Shape.Area))];
        now = new RectangleState([.. pool.All.Select(w => usable[w.Index] ? pool.Waiting[w.Index] : 0)]);
        foreach (var placedItem in tray.PlacedItems)
        {
            if (usable[placedItem.Item.Index] && IsMovable(placedItem)) now.Add(
                placedItem.Item.Index, BoxOf(placedItem), placedItem.Turn % 180_000 != 0, values[placedItem.Item.Index]);
            else Fix(placedItem);
        }

        (before, best) = (now.Copy(), now.Copy());
        least = pool.All.Where(w => now.Waiting[w.Index] > 0 || now.Holds(w.Index)).Select(w => LeastSide(w)).DefaultIfEmpty(1).Min();
        valueIsArea = values.Zip(pool.All).All(x => Math.Abs((x.First / x.Second.Shape.Area * pool.All[0].Shape.Area / values[0]) - 1) < 0.01);
        valueIsCount = !byArea && pool.All.All(w => w.Value == pool.All[0].Value);
        fill = new RectangleFill(shelf, pool.All, values, owed, random);
    }

    /// <summary>True where this search can be used: no ware may touch other ware, or no gap is owed anyhow.</summary>
    public static bool CanSearch(ItemPool pool, Distances distances) => distances.Gap == 0 || !pool.All.Any(w => w.Piece.Touch);

    /// <summary>True for a rectangle on which no other may stand.</summary>
    public static bool IsPlain(Item item) => Insertion.IsRectangle(item) && item.MostStacked == 1;

    /// <summary>Fills what is free of a shelf so many times anew and keeps the best: by value, or by the area covered.</summary>
    public static void Fill(Tray tray, ItemPool pool, Distances distances, SearchContext context, int tries, bool byArea)
    {
        var search = new RectangleSearch(tray, pool, distances, context.Random, byArea);
        search.before.Take(search.now);
        for (var i = 0; i < tries && (i == 0 || !context.Budget.Stop); i++)
        {
            search.now.Take(search.before);
            search.fill.Begin(search.shelf.All, search.least, search.now);
            search.fill.Fill(search.now, double.MaxValue);
            if (i == 0 || search.now.Value > search.best.Value) search.best.Take(search.now);
        }

        search.WriteBack(search.best);
    }

    /// <summary>So many steps on one shelf; the tray and the pool are left in the best state found, or in the last where none was better.</summary>
    public static bool Run(Tray tray, ItemPool pool, Distances distances, SearchContext context, int steps, bool byArea)
    {
        var search = new RectangleSearch(tray, pool, distances, context.Random, byArea);
        var start = search.now.Value;
        for (var i = 0; i < steps && !context.Budget.Stop && search.now.Count > 0; i++)
        {
            if (i > 0) context.Budget.Tick();
            search.Step();
        }

        return search.WriteBack(search.best.Value > start ? search.best : search.now);
    }

    private static bool IsMovable(PlacedItem s) => s.Kept.Count == 0 && IsPlain(s.Item) && s.Turn % 90_000 == 0;

    private static double LeastSide(Item item)
    {
        var rectangle = (Pieces.Footprint.Rectangle)item.Piece.Footprint;
        return Math.Min(rectangle.Width.Micrometres, rectangle.Depth.Micrometres);
    }

    private static Box BoxOf(PlacedItem s) => new(s.Exact.MinX / 2, s.Exact.MinY / 2, s.Exact.MaxX / 2, s.Exact.MaxY / 2);

    private void Fix(PlacedItem placedItem)
    {
        fixedItems.Add(placedItem);
        shelf.Bar(placedItem.Exact, owed);
    }

    private void Step()
    {
        before.Take(now);
        var hole = TakeOff(1 + random.Below(valueIsCount ? ShelfTuning.MostExchangedOfCount : ShelfTuning.MostExchanged));
        fill.Begin(hole, least, now);
        fill.Fill(now, valueIsArea ? double.MaxValue : taken * random.Between(ShelfTuning.LeastOffered, ShelfTuning.MostOffered));
        var leniency = valueIsCount ? ShelfTuning.CountLeniency : ShelfTuning.ExchangeLeniency;
        if (now.Value < before.Value - (leniency * before.Value * random.Unit())) (now, before) = (before, now);
        else if (now.Value > best.Value) best.Take(now);
    }

    // Takes off so many that are nearest to one of them; returns a box a little larger than the one around them.
    private Box TakeOff(int count)
    {
        var centre = now.Boxes[random.Below(now.Count)];
        var (x, y) = ((centre.X0 + centre.X1) / 2, (centre.Y0 + centre.Y1) / 2);
        if (distance.Length < now.Count) distance = new double[now.Boxes.Length];
        for (var i = 0; i < now.Count; i++)
        {
            ref readonly var box = ref now.Boxes[i];
            var (dx, dy) = (((box.X0 + box.X1) / 2) - x, ((box.Y0 + box.Y1) / 2) - y);
            distance[i] = (dx * dx) + (dy * dy);
        }

        var hole = new Box(double.MaxValue, double.MaxValue, double.MinValue, double.MinValue);
        double reach = 0;
        taken = 0;
        for (var k = 0; k < count && now.Count > 0; k++)
        {
            var nearest = 0;
            for (var i = 1; i < now.Count; i++)
            {
                if (distance[i] < distance[nearest]) nearest = i;
            }

            var box = now.Boxes[nearest];
            hole = new Box(Math.Min(hole.X0, box.X0), Math.Min(hole.Y0, box.Y0), Math.Max(hole.X1, box.X1), Math.Max(hole.Y1, box.Y1));
            reach = Math.Max(reach, Math.Max(box.X1 - box.X0, box.Y1 - box.Y0));
            taken += (box.X1 - box.X0) * (box.Y1 - box.Y0);
            now.RemoveAt(nearest, values[now.Items[nearest]]);
            distance[nearest] = distance[now.Count];
        }

        hole = hole.Grown(reach);
        return new Box(Math.Max(hole.X0, shelf.All.X0), Math.Max(hole.Y0, shelf.All.Y0), Math.Min(hole.X1, shelf.All.X1), Math.Min(hole.Y1, shelf.All.Y1));
    }

    private bool WriteBack(RectangleState state)
    {
        List<PlacedItem> all = [.. fixedItems];
        for (var i = 0; i < state.Count; i++)
        {
            var box = state.Boxes[i];
            all.Add(new PlacedItem(
                pool.All[state.Items[i]], 1, (long)Math.Round((box.X0 + box.X1) / 2), (long)Math.Round((box.Y0 + box.Y1) / 2), state.Turned[i] ? 90_000 : 0));
        }

        if (!tray.AllowsAll(all)) return false;
        foreach (var placedItem in tray.PlacedItems) pool.Waiting[placedItem.Item.Index] += placedItem.Count;
        tray.ReplaceAll(all);
        foreach (var placedItem in all) pool.Waiting[placedItem.Item.Index] -= placedItem.Count;
        return true;
    }
}
