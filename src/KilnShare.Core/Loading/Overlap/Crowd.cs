using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>What stands (or is to stand) on one shelf, as the overlap search sees it.</summary>
/// <param name="Shape">Its outline.</param>
/// <param name="Height">From foot to top, µm.</param>
/// <param name="MayTurn">Whether the search may turn it.</param>
/// <param name="Touch">Whether it may touch others that may touch.</param>
/// <param name="Fixed">True when it must not move.</param>
internal readonly record struct Member(Shape Shape, long Height, bool MayTurn, bool Touch, bool Fixed);

/// <summary>
/// Members on one shelf that may overlap for a while: the energy is the weighted sum of squared overlap depths, zero when all is well.
/// Members come first among the bodies, obstacles after them. Positions are one array: every x, then every y, then every turn times a length.
/// </summary>
internal sealed partial class Crowd
{
    private readonly Region region;
    private readonly double gap;
    private readonly double margin;
    private readonly Member[] members;
    private readonly Obstacle[] obstacles;
    private readonly ConvexBodies bodies;
    private readonly int total;
    private readonly int yAt;
    private readonly int turnAt;
    private readonly double[] turnLength;
    private readonly double[] placedTurn;
    private readonly double[] cos;
    private readonly double[] sin;
    private readonly bool[] round;
    private readonly bool[] held;
    private readonly bool[] matters;
    private readonly bool allRound;
    private readonly double[] planeTurns;
    private int alive;
    private bool turnsFrozen;

    public Crowd(Region region, IReadOnlyList<Member> members, long shelfTop, double gap, double margin)
    {
        (this.region, this.gap, this.margin, this.members) = (region, gap, margin, [.. members]);
        obstacles = [.. region.Obstacles.Where(o => o.To > shelfTop)];
        Count = members.Count;
        total = Count + obstacles.Length;
        // Four numbers are worked on at a time.
        yAt = (total + 3) / 4 * 4;
        turnAt = 2 * yAt;
        bodies = new ConvexBodies([.. members.Select(m => m.Shape), .. obstacles.Select(o => o.Shape)]);
        (V, alone) = (new double[3 * yAt], new double[3 * yAt]);
        turnLength = [.. members.Select(m => m.Shape.Bound * 0.6)];
        (cos, sin, placedTurn) = (new double[total], new double[total], new double[total]);
        round = [.. bodies.Shapes.Select(s => s.IsDisc)];
        held = [.. members.Select(m => m.Fixed), .. obstacles.Select(_ => true)];
        allRound = Array.TrueForAll(round, r => r);
        alive = Enumerable.Range(0, Count).Any(MayTurn) ? 3 * yAt : turnAt;
        matters = new bool[Count * obstacles.Length];
        for (var i = 0; i < Count; i++)
        {
            for (var o = 0; o < obstacles.Length; o++) matters[(i * obstacles.Length) + o] = shelfTop + members[i].Height > obstacles[o].From;
        }

        (walls, planes) = WallsOf(region, margin);
        planeTurns = [.. planes.Select(p => Turning.Between(1, 0, p.Nx, p.Ny) * Turning.RadiansPerThousandth)];
        (pairsMadeAt, sweep) = (new double[turnAt], [.. Enumerable.Range(0, total)]);
        skin = Count == 0 ? 0 : 0.25 * members.Average(m => m.Shape.Bound);
        widest = total == 0 ? 0 : bodies.Shapes.Max(s => s.Bound);
        mostOwed = margin + Math.Max(gap, obstacles.Select(o => o.Clearance).DefaultIfEmpty(0).Max());
        Array.Fill(placedTurn, double.NaN);
        PlaceObstacles();
    }

    public int Count { get; }

    /// <summary>Positions: every x, every y, every turn × length; obstacles' after the members'.</summary>
    public double[] V { get; }

    public Member this[int i] => members[i];

    public double XOf(int i) => V[i];

    public double YOf(int i) => V[yAt + i];

    public double TurnOf(int i) => V[turnAt + i] / turnLength[i];

    public void Set(int i, double x, double y, double radians)
    {
        (V[i], V[yAt + i], V[turnAt + i]) = (x, y, radians * turnLength[i]);
        PlaceMember(i, V);
        pairsAreStale = true;
    }

    public void Load(double[] positions)
    {
        Array.Copy(positions, V, V.Length);
        pairsAreStale = true;
    }

    /// <summary>Turns every member to the nearest whole thousandth of a degree and lets none turn from now on.</summary>
    public void FreezeTurns()
    {
        for (var i = 0; i < Count; i++) V[turnAt + i] = ThousandthsOf(i) * Turning.RadiansPerThousandth * turnLength[i];
        turnsFrozen = true;
        alive = turnAt;
    }

    public int ThousandthsOf(int i) => Turning.Normalise((int)Math.Round(TurnOf(i) % (2 * Math.PI) / Turning.RadiansPerThousandth));

    private void PlaceObstacles()
    {
        for (var o = 0; o < obstacles.Length; o++)
        {
            var (c, s) = Turning.Of(obstacles[o].Turn);
            bodies.Place(Count + o, obstacles[o].X, obstacles[o].Y, c, s);
            (V[Count + o], V[yAt + Count + o]) = (obstacles[o].X, obstacles[o].Y);
        }
    }

    // Discs among discs are wholly told by their centres.
    private void PlaceMembers(double[] v)
    {
        for (var i = 0; i < Count && !allRound; i++)
        {
            if (!held[i]) PlaceMember(i, v);
        }
    }

    private void PlaceMember(int i, double[] v)
    {
        var turn = v[turnAt + i];
        if (turn != placedTurn[i])
        {
            (cos[i], sin[i]) = round[i] ? (1.0, 0.0) : Turning.OfRadians(turn / turnLength[i]);
            placedTurn[i] = turn;
        }

        bodies.Place(i, v[i], v[yAt + i], cos[i], sin[i]);
    }

    private double Owed(int i, int j)
    {
        if (j >= Count) return obstacles[j - Count].Clearance + margin;
        return (members[i].Touch && members[j].Touch ? 0 : gap) + margin;
    }

    private bool Matters(int i, int j) => j < Count || matters[(i * obstacles.Length) + j - Count];

    private bool MayTurn(int i) => members[i].MayTurn && !turnsFrozen && !members[i].Fixed && !round[i];
}
