using System.Runtime.CompilerServices;
using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Overlap;

/// <content>The energy and its gradient.</content>
internal sealed partial class Crowd
{
    private readonly (double X, double Y, double Radius)[] walls;
    private readonly (double Nx, double Ny, double Limit)[] planes;

    /// <summary>Edges that hold members in.</summary>
    public int WallCount => walls.Length + planes.Length;

    /// <summary>The energy at v; its gradient goes to g.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public double Energy(double[] v, double[] g)
    {
        RefreshPairs(v);
        PlaceMembers(v);
        Array.Clear(g);
        var energy = RoundPairs(v, g);
        for (var p = 0; p < roughPairs.Count; p++)
            energy += RoughPair(roughPairs.First[p], roughPairs.Second[p], roughPairs.Reach[p], roughPairs.Weight[p], v, g);
        for (var i = 0; i < Count; i++) energy += WallEnergy(i, v, g);
        for (var i = 0; i < total; i++)
        {
            if (held[i]) (g[i], g[yAt + i]) = (0, 0);
            if (i >= Count || !MayTurn(i)) g[turnAt + i] = 0;
        }

        return energy;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double RoundPairs(double[] v, double[] g)
    {
        ReadOnlySpan<double> x = v.AsSpan(0, total), y = v.AsSpan(yAt, total);
        Span<double> gx = g.AsSpan(0, total), gy = g.AsSpan(yAt, total);
        double energy = 0;
        for (var p = 0; p < roundPairs.Count; p++)
        {
            var (i, j, reach) = (roundPairs.First[p], roundPairs.Second[p], roundPairs.Reach[p]);
            var (dx, dy) = (x[i] - x[j], y[i] - y[j]);
            var squared = (dx * dx) + (dy * dy);
            if (squared >= reach * reach) continue;
            var distance = Math.Sqrt(squared);
            var depth = reach - distance;
            var force = roundPairs.Weight[p] * depth;
            energy += force * depth;
            // One in the middle of another may go any way.
            var scale = distance > 1e-9 ? 2 * force / distance : 0;
            var (fx, fy) = distance > 1e-9 ? (scale * dx, scale * dy) : (2 * force, 0);
            gx[i] -= fx;
            gy[i] -= fy;
            gx[j] += fx;
            gy[j] += fy;
        }

        return energy;
    }

    // Two bodies of which one at least has corners; the reach is what their bounds and what is owed come to.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double RoughPair(int i, int j, double reach, double weight, double[] v, double[] g)
    {
        var (dx, dy) = (v[i] - v[j], v[yAt + i] - v[yAt + j]);
        if ((dx * dx) + (dy * dy) >= reach * reach) return 0;
        var owed = Owed(i, j);
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
        g[i] += force * contact.Nx;
        g[yAt + i] += force * contact.Ny;
        g[turnAt + i] += force * (((contact.X - v[i]) * contact.Ny) - ((contact.Y - v[yAt + i]) * contact.Nx)) / turnLength[i];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double WallEnergy(int i, double[] v, double[] g)
    {
        double energy = 0;
        var (cx, cy, bound) = (v[i], v[yAt + i], bodies.Shapes[i].Bound);
        foreach (var (x, y, radius) in walls)
        {
            var clear = radius - bound;
            var (dx, dy) = (cx - x, cy - y);
            var squared = (dx * dx) + (dy * dy);
            if (clear > 0 && squared <= clear * clear) continue;
            energy += round[i] ? RoundOutside(i, dx, dy, Math.Sqrt(squared), clear, g) : OutsideWall(i, x, y, radius, v, g);
        }

        foreach (var (nx, ny, limit) in planes)
        {
            var depth = (nx * cx) + (ny * cy) + bound - limit;
            if (depth <= 0) continue;
            if (!round[i])
            {
                energy += OutsidePlane(i, nx, ny, limit, v, g);
                continue;
            }

            energy += depth * depth;
            g[i] += 2 * depth * nx;
            g[yAt + i] += 2 * depth * ny;
        }

        return energy;
    }

    private double RoundOutside(int i, double dx, double dy, double distance, double clear, double[] g)
    {
        var depth = distance - clear;
        // In the very middle any way out is as good as another.
        var (ux, uy) = distance < 1e-9 ? (1.0, 0.0) : (dx / distance, dy / distance);
        g[i] += 2 * depth * ux;
        g[yAt + i] += 2 * depth * uy;
        return depth * depth;
    }

    private double OutsideWall(int i, double x, double y, double radius, double[] v, double[] g)
    {
        var contact = default(Contact);
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
                var (ux, uy) = distance < 1e-9 ? (1.0, 0.0) : (dx / distance, dy / distance);
                (contact.Nx, contact.Ny, contact.X, contact.Y) = (-ux, -uy, x + dx, y + dy);
                energy += depth * depth;
                Push(i, ref contact, -2 * depth, v, g);
            }
        }

        return energy;
    }

    private double OutsidePlane(int i, double nx, double ny, double limit, double[] v, double[] g)
    {
        var contact = default(Contact);
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

    // A disc that holds another holds nothing in.
    private static ((double X, double Y, double Radius)[] Walls, (double Nx, double Ny, double Limit)[] Planes) WallsOf(Region region, double margin)
    {
        var discs = region.Discs.Distinct().ToList();
        bool HoldsAnother((double X, double Y, double Radius) d) =>
            discs.Exists(e => e != d && Plane.Distance(d.X, d.Y, e.X, e.Y) + e.Radius <= d.Radius);
        return ([.. discs.Where(d => !HoldsAnother(d)).Select(d => (d.X, d.Y, d.Radius - margin))], [.. region.Planes.Select(p => (p.Nx, p.Ny, p.Limit - margin))]);
    }
}
