using System.Runtime.CompilerServices;

namespace KilnShare.Core.Loading;

/// <summary>What stands (or is to stand) on one shelf, as the overlap search sees it.</summary>
/// <param name="Shape">Its outline.</param>
/// <param name="Height">From foot to top, µm.</param>
/// <param name="MayTurn">Whether the search may turn it.</param>
/// <param name="Touch">Whether it may touch others that may touch.</param>
/// <param name="Fixed">True when it must not move.</param>
internal readonly record struct Member(Shape Shape, long Height, bool MayTurn, bool Touch, bool Fixed);

/// <summary>
/// Members on one shelf that may overlap for a while: the energy is the weighted sum of squared overlap depths, zero when all is well.
/// Members come first among the bodies, obstacles after them. Positions are three numbers a member: x, y, and turn times a length.
/// </summary>
internal sealed partial class Crowd
{
    private readonly Region region;
    private readonly double gap;
    private readonly double margin;
    private readonly Member[] members;
    private readonly Obstacle[] obstacles;
    private readonly Bodies bodies;
    private readonly int total;
    private readonly double[] turnLength;
    private readonly double[] cos;
    private readonly double[] sin;
    private readonly bool[] matters;
    private readonly double[] weights;
    private int[] pairs = [];
    private int pairCount;
    private double[] pairsMadeAt;
    private double skin;
    private bool turnsFrozen;

    public Crowd(Region region, IReadOnlyList<Member> members, long floor, double gap, double margin)
    {
        this.region = region;
        this.gap = gap;
        this.margin = margin;
        this.members = [.. members];
        obstacles = [.. region.Obstacles.Where(o => o.To > floor)];
        Count = members.Count;
        total = Count + obstacles.Length;
        bodies = new Bodies([.. members.Select(m => m.Shape), .. obstacles.Select(o => o.Shape)]);
        V = new double[3 * Count];
        pairsMadeAt = new double[3 * Count];
        turnLength = [.. members.Select(m => m.Shape.Bound * 0.6)];
        (cos, sin) = (new double[total], new double[total]);
        weights = new double[Count * total];
        matters = new bool[Count * obstacles.Length];
        for (var i = 0; i < Count; i++)
        {
            for (var o = 0; o < obstacles.Length; o++) matters[(i * obstacles.Length) + o] = floor + members[i].Height > obstacles[o].From;
        }

        PlaceObstacles();
        ResetWeights();
        pairCount = -1;
    }

    public int Count { get; }

    /// <summary>Positions: x, y, turn × length for each member.</summary>
    public double[] V { get; }

    public Member this[int i] => members[i];

    public double Bound(int i) => bodies.Shapes[i].Bound;

    public double TurnOf(int i) => V[(3 * i) + 2] / turnLength[i];

    public void Set(int i, double x, double y, double radians)
    {
        (V[3 * i], V[(3 * i) + 1], V[(3 * i) + 2]) = (x, y, radians * turnLength[i]);
        pairCount = -1;
    }

    public void Load(double[] positions)
    {
        Array.Copy(positions, V, V.Length);
        pairCount = -1;
    }

    /// <summary>Turns every member to the nearest whole thousandth of a degree and lets none turn from now on.</summary>
    public void FreezeTurns()
    {
        for (var i = 0; i < Count; i++) V[(3 * i) + 2] = ThousandthsOf(i) * Turning.RadiansPerThousandth * turnLength[i];
        turnsFrozen = true;
    }

    public int ThousandthsOf(int i) => Turning.Normalise((int)Math.Round(TurnOf(i) % (2 * Math.PI) / Turning.RadiansPerThousandth));

    public void ResetWeights() => Array.Fill(weights, 1);

    private void PlaceObstacles()
    {
        for (var o = 0; o < obstacles.Length; o++)
        {
            var (c, s) = Turning.Of(obstacles[o].Turn);
            (cos[Count + o], sin[Count + o]) = (c, s);
            bodies.Place(Count + o, obstacles[o].X, obstacles[o].Y, c, s);
        }
    }

    private void PlaceMembers(double[] v)
    {
        for (var i = 0; i < Count; i++) PlaceMember(i, v[3 * i], v[(3 * i) + 1], v[(3 * i) + 2]);
    }

    private void PlaceMember(int i, double x, double y, double turn)
    {
        var (c, s) = members[i].Shape.IsDisc ? (1.0, 0.0) : Turning.OfRadians(turn / turnLength[i]);
        (cos[i], sin[i]) = (c, s);
        bodies.Place(i, x, y, c, s);
    }

    private double Owed(int i, int j)
    {
        if (j >= Count) return obstacles[j - Count].Clearance + margin;
        return (members[i].Touch && members[j].Touch ? 0 : gap) + margin;
    }

    private bool Matters(int i, int j) => j < Count || matters[(i * obstacles.Length) + j - Count];

    /// <summary>The energy at v; its gradient goes to g.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public double Energy(double[] v, double[] g)
    {
        RefreshPairs(v);
        PlaceMembers(v);
        Array.Clear(g);
        double energy = 0;
        for (var p = 0; p < pairCount; p += 2) energy += PairEnergy(pairs[p], pairs[p + 1], v, g);
        for (var i = 0; i < Count; i++) energy += WallEnergy(i, v, g);
        for (var i = 0; i < Count; i++)
        {
            if (members[i].Fixed) (g[3 * i], g[(3 * i) + 1]) = (0, 0);
            if (!MayTurn(i)) g[(3 * i) + 2] = 0;
        }

        return energy;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double PairEnergy(int i, int j, double[] v, double[] g)
    {
        var owed = Owed(i, j);
        if (j < Count)
        {
            var reach = bodies.Shapes[i].Bound + bodies.Shapes[j].Bound + owed;
            var (dx, dy) = (v[3 * i] - v[3 * j], v[(3 * i) + 1] - v[(3 * j) + 1]);
            if ((dx * dx) + (dy * dy) >= reach * reach) return 0;
        }

        var weight = weights[(i * total) + j];
        var contact = default(Contact);
        double energy = 0;
        for (var a = bodies.FirstPart(i); a < bodies.FirstPart(i + 1); a++)
        {
            for (var b = bodies.FirstPart(j); b < bodies.FirstPart(j + 1); b++)
            {
                bodies.Meet(a, b, owed, ref contact);
                if (contact.Depth <= 0) continue;
                energy += weight * contact.Depth * contact.Depth;
                var strength = -2 * weight * contact.Depth;
                Push(i, ref contact, strength, v, g);
                if (j < Count) Push(j, ref contact, -strength, v, g);
            }
        }

        return energy;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private void Push(int i, ref Contact contact, double force, double[] v, double[] g)
    {
        var at = 3 * i;
        g[at] += force * contact.Nx;
        g[at + 1] += force * contact.Ny;
        g[at + 2] += force * (((contact.X - v[at]) * contact.Ny) - ((contact.Y - v[at + 1]) * contact.Nx)) / turnLength[i];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double WallEnergy(int i, double[] v, double[] g)
    {
        double energy = 0;
        var (cx, cy, bound) = (v[3 * i], v[(3 * i) + 1], bodies.Shapes[i].Bound);
        var contact = default(Contact);
        foreach (var (x, y, radius) in region.Discs)
        {
            var clear = radius - margin - bound;
            var (dx, dy) = (cx - x, cy - y);
            if (clear > 0 && (dx * dx) + (dy * dy) <= clear * clear) continue;
            energy += OutsideDisc(i, x, y, radius - margin, ref contact, v, g);
        }

        foreach (var (nx, ny, limit) in region.Planes)
        {
            if ((nx * cx) + (ny * cy) + bound <= limit - margin) continue;
            energy += OutsidePlane(i, nx, ny, limit - margin, ref contact, v, g);
        }

        return energy;
    }

    private double OutsideDisc(int i, double x, double y, double radius, ref Contact contact, double[] v, double[] g)
    {
        double energy = 0;
        for (var p = bodies.FirstPart(i); p < bodies.FirstPart(i + 1); p++)
        {
            var (from, to) = bodies.Corners(p);
            for (var c = from; c < to; c++)
            {
                var (dx, dy) = (bodies.CornerX(c) - x, bodies.CornerY(c) - y);
                var distance = Math.Sqrt((dx * dx) + (dy * dy));
                var depth = distance + bodies.Radius(p) - radius;
                if (depth <= 0) continue;
                // In the very middle any way out is as good as another.
                var (ux, uy) = distance < 1e-9 ? (1.0, 0.0) : (dx / distance, dy / distance);
                (contact.Nx, contact.Ny, contact.X, contact.Y) = (-ux, -uy, x + dx, y + dy);
                energy += depth * depth;
                Push(i, ref contact, -2 * depth, v, g);
            }
        }

        return energy;
    }

    private double OutsidePlane(int i, double nx, double ny, double limit, ref Contact contact, double[] v, double[] g)
    {
        double energy = 0;
        for (var p = bodies.FirstPart(i); p < bodies.FirstPart(i + 1); p++)
        {
            var (from, to) = bodies.Corners(p);
            for (var c = from; c < to; c++)
            {
                var depth = (nx * bodies.CornerX(c)) + (ny * bodies.CornerY(c)) + bodies.Radius(p) - limit;
                if (depth <= 0) continue;
                (contact.Nx, contact.Ny, contact.X, contact.Y) = (-nx, -ny, bodies.CornerX(c), bodies.CornerY(c));
                energy += depth * depth;
                Push(i, ref contact, -2 * depth, v, g);
            }
        }

        return energy;
    }

    /// <summary>Lists the pairs that may meet before any member has moved by half the skin (Verlet 1967).</summary>
    private void RefreshPairs(double[] v)
    {
        if (pairCount >= 0 && !Moved(v)) return;
        Array.Copy(v, pairsMadeAt, v.Length);
        pairCount = 0;
        skin = Count == 0 ? 0 : 0.25 * bodies.Shapes.Take(Count).Average(s => s.Bound);
        for (var i = 0; i < Count; i++)
        {
            for (var j = i + 1; j < total; j++)
            {
                if (!Matters(i, j) || (j < Count && members[i].Fixed && members[j].Fixed)) continue;
                var reach = bodies.Shapes[i].Bound + bodies.Shapes[j].Bound + Owed(i, j) + skin;
                var (xj, yj) = j < Count ? (v[3 * j], v[(3 * j) + 1]) : (obstacles[j - Count].X, obstacles[j - Count].Y);
                var (dx, dy) = (v[3 * i] - xj, v[(3 * i) + 1] - yj);
                if ((dx * dx) + (dy * dy) < reach * reach) AddPair(i, j);
            }
        }
    }

    private void AddPair(int i, int j)
    {
        if (pairCount + 2 > pairs.Length) Array.Resize(ref pairs, Math.Max(64, 2 * pairs.Length));
        pairs[pairCount++] = i;
        pairs[pairCount++] = j;
    }

    private bool Moved(double[] v)
    {
        var limit = skin * skin / 4;
        for (var i = 0; i < Count; i++)
        {
            var (dx, dy) = (v[3 * i] - pairsMadeAt[3 * i], v[(3 * i) + 1] - pairsMadeAt[(3 * i) + 1]);
            if ((dx * dx) + (dy * dy) > limit) return true;
        }

        return false;
    }
}
