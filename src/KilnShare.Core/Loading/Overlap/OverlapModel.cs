using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>
/// Items on one shelf that may overlap for a while, and obstacles that do not move. Items come first among the bodies, obstacles after them.
/// Positions are one array: every x, then every y, then every turn times a length, so that a step in any of them is a length.
/// </summary>
internal sealed class OverlapModel
{
    // Positions are worked on by so many at a time.
    private const int Lanes = 4;

    private readonly double gap;
    private readonly double margin;
    private readonly OverlapItem[] items;
    private readonly Obstacle[] obstacles;
    private readonly double[] turnLength;
    private readonly double[] placedTurn;
    private readonly double[] cos;
    private readonly double[] sin;
    private readonly bool[] matters;
    private bool turnsFrozen;

    public OverlapModel(Region region, IReadOnlyList<OverlapItem> items, long shelfTop, double gap, double margin, Easing? easing = null)
    {
        (Region, this.gap, this.margin, this.items, Easing) = (region, gap, margin, [.. items], easing);
        obstacles = [.. region.Obstacles.Where(o => o.To > shelfTop)];
        Count = items.Count;
        Total = Count + obstacles.Length;
        YAt = (Total + Lanes - 1) / Lanes * Lanes;
        TurnAt = 2 * YAt;
        Bodies = new ConvexBodies([.. items.Select(m => m.Shape), .. obstacles.Select(o => o.Shape)]);
        V = new double[3 * YAt];
        turnLength = [.. items.Select(m => m.Shape.Bound * OverlapTuning.TurnLength)];
        (cos, sin, placedTurn) = (new double[Total], new double[Total], new double[Total]);
        IsRound = [.. Bodies.Shapes.Select(s => s.IsDisc)];
        IsHeld = [.. items.Select(m => m.Fixed), .. obstacles.Select(_ => true)];
        AllRound = Array.TrueForAll(IsRound, r => r);
        Alive = Enumerable.Range(0, Count).Any(MayTurn) ? 3 * YAt : TurnAt;
        matters = new bool[Count * obstacles.Length];
        for (var i = 0; i < Count; i++)
        {
            for (var o = 0; o < obstacles.Length; o++) matters[(i * obstacles.Length) + o] = shelfTop + items[i].Height > obstacles[o].From;
        }

        (Walls, Planes) = WallsOf(region, margin);
        MostOwed = margin + Math.Max(gap, obstacles.Select(o => o.Clearance).DefaultIfEmpty(0).Max());
        if (easing is not null) MostOwed += Math.Max(easing.Floor, 2 * easing.Level);
        Array.Fill(placedTurn, double.NaN);
        PlaceObstacles();
    }

    /// <summary>Where items may be.</summary>
    public Region Region { get; }

    /// <summary>How many items there are.</summary>
    public int Count { get; }

    /// <summary>How many items and obstacles there are.</summary>
    public int Total { get; }

    /// <summary>Where in the positions the first y is.</summary>
    public int YAt { get; }

    /// <summary>Where in the positions the first turn is.</summary>
    public int TurnAt { get; }

    /// <summary>So many of the positions may change: all, or all but the turns.</summary>
    public int Alive { get; private set; }

    /// <summary>Positions: every x, every y, every turn × length; obstacles' after the items'.</summary>
    public double[] V { get; }

    /// <summary>True once items have been moved otherwise than by the small steps of a descent.</summary>
    public bool HasJumped { get; set; } = true;

    public ConvexBodies Bodies { get; }

    /// <summary>By body: whether it is a disc.</summary>
    public bool[] IsRound { get; }

    /// <summary>By body: whether it must not move.</summary>
    public bool[] IsHeld { get; }

    /// <summary>True when all bodies are discs.</summary>
    public bool AllRound { get; }

    /// <summary>Discs that items are held within, less the margin, µm.</summary>
    public (double X, double Y, double Radius)[] Walls { get; }

    /// <summary>Straight edges that items are held within, less the margin, µm.</summary>
    public (double Nx, double Ny, double Limit)[] Planes { get; }

    /// <summary>The most that any two bodies owe each other, µm.</summary>
    public double MostOwed { get; }

    public OverlapItem this[int i] => items[i];

    public double TurnLengthOf(int i) => turnLength[i];

    public double TurnOf(int i) => V[TurnAt + i] / turnLength[i];

    public int ThousandthsOf(int i) => Turning.Normalise((int)Math.Round(TurnOf(i) % (2 * Math.PI) / Turning.RadiansPerThousandth));

    public void Set(int i, double x, double y, double radians)
    {
        (V[i], V[YAt + i], V[TurnAt + i]) = (x, y, radians * turnLength[i]);
        Place(i, V);
        HasJumped = true;
    }

    /// <summary>Brings all items to where they were in a copy of the positions.</summary>
    public void Load(double[] positions)
    {
        Array.Copy(positions, V, V.Length);
        HasJumped = true;
    }

    /// <summary>Turns every item to the nearest whole thousandth of a degree and lets none turn from now on.</summary>
    public void FreezeTurns()
    {
        for (var i = 0; i < Count; i++) V[TurnAt + i] = ThousandthsOf(i) * Turning.RadiansPerThousandth * turnLength[i];
        turnsFrozen = true;
        Alive = TurnAt;
    }

    /// <summary>Brings the bodies of items that may move to those positions. Discs among discs are told by their centres alone.</summary>
    public void PlaceAll(double[] v)
    {
        for (var i = 0; i < Count && !AllRound; i++)
        {
            if (!IsHeld[i]) Place(i, v);
        }
    }

    /// <summary>Brings the body of one item to those positions.</summary>
    public void Place(int i, double[] v)
    {
        var turn = v[TurnAt + i];
        if (turn != placedTurn[i])
        {
            (cos[i], sin[i]) = IsRound[i] ? (1.0, 0.0) : Turning.OfRadians(turn / turnLength[i]);
            placedTurn[i] = turn;
        }

        Bodies.Place(i, v[i], v[YAt + i], cos[i], sin[i]);
    }

    /// <summary>What an item owes to another body, margin included, µm.</summary>
    public double Owed(int i, int j)
    {
        if (Easing is not null) return OwedAndEased(i, j, Easing);
        if (j >= Count) return obstacles[j - Count].Clearance + margin;
        return (items[i].Touch && items[j].Touch ? 0 : gap) + margin;
    }

    private double OwedAndEased(int i, int j, Easing eased) => j < Count && items[i].Touch && items[j].Touch
        ? margin : (j >= Count ? obstacles[j - Count].Clearance : gap) + margin + eased.OfPair(i, j);

    /// <summary>How many edges hold items in: first the walls, then the planes.</summary>
    public int Edges => Walls.Length + Planes.Length;

    /// <summary>What is kept beyond what is owed; null where nothing is.</summary>
    public Easing? Easing { get; }

    /// <summary>False where an obstacle is wholly above an item.</summary>
    public bool Matters(int i, int j) => j < Count || matters[(i * obstacles.Length) + j - Count];

    public bool MayTurn(int i) => items[i].MayTurn && !turnsFrozen && !items[i].Fixed && !IsRound[i];

    private void PlaceObstacles()
    {
        for (var o = 0; o < obstacles.Length; o++)
        {
            var (c, s) = Turning.Of(obstacles[o].Turn);
            Bodies.Place(Count + o, obstacles[o].X, obstacles[o].Y, c, s);
            (V[Count + o], V[YAt + Count + o]) = (obstacles[o].X, obstacles[o].Y);
        }
    }

    // A disc that holds another holds nothing in.
    private static ((double X, double Y, double Radius)[] Walls, (double Nx, double Ny, double Limit)[] Planes) WallsOf(Region region, double margin)
    {
        var discs = region.Discs.Distinct().ToList();
        bool HoldsAnother((double X, double Y, double Radius) d) =>
            discs.Exists(e => e != d && Plane.Distance(d.X, d.Y, e.X, e.Y) + e.Radius <= d.Radius);
        return ([.. discs.Where(d => !HoldsAnother(d)).Select(d => (d.X, d.Y, d.Radius - margin))],
            [.. region.Planes.Select(p => (p.Nx, p.Ny, p.Limit - margin))]);
    }
}
