namespace KilnShare.Core.Loading;

/// <summary>
/// Exchanges rectangles on one shelf for better ones: takes some off that stand together and fills the hole anew
/// (large neighbourhood search, Shaw 1998; over largest free rectangles), in plain arrays, so that it does thousands of changes in a tenth of a second.
/// </summary>
internal sealed class BoxSearch
{
    // A state may be worse than the present one by this part of its value and still be gone on from.
    private const double Leniency = 0.002;

    // The same where each piece counts as much as any other, so that a step may cost only room.
    private const double LeniencyOfCount = 0.0007;

    // So many are taken off at most; more where it is their number that counts.
    private const int MostTaken = 7;
    private const int MostTakenOfCount = 12;

    // Ware is offered that would cover so many times the area that was taken off, drawn between the two.
    private const double LeastRoom = 1;
    private const double MostRoom = 1.5;
    private readonly Tray tray;
    private readonly LotPool pool;
    private readonly Dice dice;
    private readonly double owed;
    private readonly BoxFloor floor;
    private readonly List<Standing> fixedOnes = [];
    private readonly double[] values;
    private readonly BoxFill fill;
    private readonly double least;
    private BoxState now;
    private BoxState before;
    private BoxState best;
    private readonly bool valueIsArea;
    private readonly bool valueIsCount;
    private double[] distance = [];
    private double taken;

    private BoxSearch(Tray tray, LotPool pool, Distances distances, Dice dice, bool byArea)
    {
        (this.tray, this.pool, this.dice) = (tray, pool, dice);
        owed = distances.Gap + distances.Margin;
        floor = new BoxFloor(tray.Room, distances);
        var usable = pool.All.Select(w => IsPlain(w) && w.Height <= tray.Room.Room).ToArray();
        // Of as much weight that is better which covers less.
        var perArea = byArea ? 0 : 0.5 * pool.All.Min(w => w.Weight) / tray.Room.Area;
        values = [.. pool.All.Select(w => byArea ? w.Shape.Area : w.Weight - (perArea * w.Shape.Area))];
        now = new BoxState([.. pool.All.Select(w => usable[w.Index] ? pool.Waiting[w.Index] : 0)]);
        foreach (var standing in tray.Standings)
        {
            if (usable[standing.Lot.Index] && IsMovable(standing)) now.Add(standing.Lot.Index, BoxOf(standing), standing.Turn % 180_000 != 0, values[standing.Lot.Index]);
            else Fix(standing);
        }

        (before, best) = (now.Copy(), now.Copy());
        least = pool.All.Where(w => now.Waiting[w.Index] > 0 || now.Holds(w.Index)).Select(w => LeastSide(w)).DefaultIfEmpty(1).Min();
        valueIsArea = values.Zip(pool.All).All(x => Math.Abs((x.First / x.Second.Shape.Area * pool.All[0].Shape.Area / values[0]) - 1) < 0.01);
        valueIsCount = !byArea && pool.All.All(w => w.Weight == pool.All[0].Weight);
        fill = new BoxFill(floor, pool.All, values, owed, dice);
    }

    /// <summary>True where the ware is such that this search can do something: nothing that may touch.</summary>
    public static bool CanSearch(LotPool pool, Distances distances) => distances.Gap == 0 || !pool.All.Any(w => w.Piece.Touch);

    /// <summary>True for a rectangle on which no other may stand.</summary>
    public static bool IsPlain(Lot lot) => Insertion.IsBox(lot) && lot.MostStacked == 1;

    /// <summary>Fills what is free of a shelf so many times anew and keeps the best: by weight, or by the area covered.</summary>
    public static void Fill(Tray tray, LotPool pool, Distances distances, Meter meter, Dice dice, int tries, bool byArea)
    {
        var search = new BoxSearch(tray, pool, distances, dice, byArea);
        search.before.Take(search.now);
        for (var i = 0; i < tries && (i == 0 || !meter.Stop); i++)
        {
            search.now.Take(search.before);
            search.fill.Begin(search.floor.All, search.least, search.now);
            search.fill.Fill(search.now, double.MaxValue);
            if (i == 0 || search.now.Value > search.best.Value) search.best.Take(search.now);
        }

        search.WriteBack(search.best);
    }

    /// <summary>So many steps on one shelf; the tray and the pool are left in the best state found, or in the last where none was better.</summary>
    public static bool Run(Tray tray, LotPool pool, Distances distances, Meter meter, Dice dice, int steps, bool byArea)
    {
        var search = new BoxSearch(tray, pool, distances, dice, byArea);
        var start = search.now.Value;
        for (var i = 0; i < steps && !meter.Stop && search.now.Count > 0; i++)
        {
            if (i > 0) meter.Tick();
            search.Step();
        }

        return search.WriteBack(search.best.Value > start ? search.best : search.now);
    }

    private static bool IsMovable(Standing s) => s.Kept.Count == 0 && IsPlain(s.Lot) && s.Turn % 90_000 == 0;

    private static double LeastSide(Lot lot)
    {
        var rectangle = (Pieces.Footprint.Rectangle)lot.Piece.Footprint;
        return Math.Min(rectangle.Width.Micrometres, rectangle.Depth.Micrometres);
    }

    private static Box BoxOf(Standing s) => new(s.Exact.MinX / 2, s.Exact.MinY / 2, s.Exact.MaxX / 2, s.Exact.MaxY / 2);

    private void Fix(Standing standing)
    {
        fixedOnes.Add(standing);
        floor.Bar(standing.Exact, owed);
    }

    private void Step()
    {
        before.Take(now);
        var hole = TakeOff(1 + dice.Below(valueIsCount ? MostTakenOfCount : MostTaken));
        fill.Begin(hole, least, now);
        fill.Fill(now, valueIsArea ? double.MaxValue : taken * dice.Between(LeastRoom, MostRoom));
        if (now.Value < before.Value - ((valueIsCount ? LeniencyOfCount : Leniency) * before.Value * dice.Unit())) (now, before) = (before, now);
        else if (now.Value > best.Value) best.Take(now);
    }

    // Takes off so many that are nearest to one of them; answers with the box around what was taken and a little more.
    private Box TakeOff(int count)
    {
        var centre = now.Boxes[dice.Below(now.Count)];
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
            now.RemoveAt(nearest, values[now.Lots[nearest]]);
            distance[nearest] = distance[now.Count];
        }

        hole = hole.Grown(reach);
        return new Box(Math.Max(hole.X0, floor.All.X0), Math.Max(hole.Y0, floor.All.Y0), Math.Min(hole.X1, floor.All.X1), Math.Min(hole.Y1, floor.All.Y1));
    }

    private bool WriteBack(BoxState state)
    {
        List<Standing> all = [.. fixedOnes];
        for (var i = 0; i < state.Count; i++)
        {
            var box = state.Boxes[i];
            all.Add(new Standing(pool.All[state.Lots[i]], 1, (long)Math.Round((box.X0 + box.X1) / 2), (long)Math.Round((box.Y0 + box.Y1) / 2), state.Turned[i] ? 90_000 : 0));
        }

        if (!tray.AllowsAll(all)) return false;
        foreach (var standing in tray.Standings) pool.Waiting[standing.Lot.Index] += standing.Count;
        tray.ReplaceAll(all);
        foreach (var standing in all) pool.Waiting[standing.Lot.Index] -= standing.Count;
        return true;
    }
}

/// <summary>Rectangles on a shelf, and how many of each ware wait.</summary>
internal sealed class BoxState
{
    public BoxState(int[] waiting)
    {
        Waiting = waiting;
        (Boxes, Lots, Turned) = (new Box[64], new int[64], new bool[64]);
    }

    public int[] Waiting { get; }

    public Box[] Boxes { get; private set; }

    public int[] Lots { get; private set; }

    public bool[] Turned { get; private set; }

    public int Count { get; private set; }

    public double Value { get; private set; }

    public bool Holds(int lot) => Array.IndexOf(Lots, lot, 0, Count) >= 0;

    public BoxState Copy()
    {
        var copy = new BoxState([.. Waiting]);
        copy.Take(this);
        return copy;
    }

    /// <summary>Becomes what the other is.</summary>
    public void Take(BoxState other)
    {
        if (Boxes.Length < other.Count) Grow(other.Boxes.Length);
        Array.Copy(other.Waiting, Waiting, Waiting.Length);
        Array.Copy(other.Boxes, Boxes, other.Count);
        Array.Copy(other.Lots, Lots, other.Count);
        Array.Copy(other.Turned, Turned, other.Count);
        (Count, Value) = (other.Count, other.Value);
    }

    public void Add(int lot, Box box, bool turned, double value)
    {
        if (Count == Boxes.Length) Grow(2 * Count);
        (Boxes[Count], Lots[Count], Turned[Count]) = (box, lot, turned);
        Count++;
        Value += value;
    }

    public void RemoveAt(int i, double value)
    {
        Waiting[Lots[i]]++;
        Count--;
        (Boxes[i], Lots[i], Turned[i]) = (Boxes[Count], Lots[Count], Turned[Count]);
        Value -= value;
    }

    private void Grow(int length)
    {
        var (boxes, lots, turned) = (Boxes, Lots, Turned);
        Array.Resize(ref boxes, length);
        Array.Resize(ref lots, length);
        Array.Resize(ref turned, length);
        (Boxes, Lots, Turned) = (boxes, lots, turned);
    }
}
