using System.Runtime.CompilerServices;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>The energy of an overlap model and its gradient: the weighted sum of squared overlap depths, zero when all is well.</summary>
internal sealed class OverlapEnergy(OverlapModel model, NeighbourPairs pairs)
{
    private readonly ConvexBodies bodies = model.Bodies;
    private readonly bool[] round = model.IsRound;
    private readonly int yAt = model.YAt;
    private readonly int turnAt = model.TurnAt;
    private readonly Easing? easing = model.Easing;

    /// <summary>The energy at v, µm²; its gradient goes to g.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public double At(double[] v, double[] g)
    {
        pairs.Refresh(v);
        model.PlaceAll(v);
        Array.Clear(g);
        var energy = OfRoundPairs(v, g);
        var rough = pairs.Rough;
        for (var p = 0; p < rough.Count; p++) energy += OfRoughPair(rough.First[p], rough.Second[p], rough.Reach[p], rough.Weight[p], v, g);
        for (var i = 0; i < model.Count; i++) energy += OfWalls(i, v, g);
        for (var i = 0; i < model.Total; i++)
        {
            if (model.IsHeld[i]) (g[i], g[yAt + i]) = (0, 0);
            if (i >= model.Count || !model.MayTurn(i)) g[turnAt + i] = 0;
        }

        return energy;
    }

    /// <summary>The energy between two bodies where the model has them. The force goes to g, of discs only that on the first.</summary>
    public double Between(int i, int j, double[] g)
    {
        var v = model.V;
        var reach = bodies.Shapes[i].Bound + bodies.Shapes[j].Bound + model.Owed(i, j);
        var (dx, dy) = (v[i] - v[j], v[yAt + i] - v[yAt + j]);
        var squared = (dx * dx) + (dy * dy);
        if (squared >= reach * reach) return 0;
        var weight = pairs.WeightOf(i, j);
        if (!round[i] || !round[j]) return OfRoughPair(i, j, reach, weight, v, g);
        var distance = Math.Sqrt(squared);
        var depth = reach - distance;
        var (ux, uy) = distance > 1e-9 ? (dx / distance, dy / distance) : (1, 0);
        g[i] -= 2 * weight * depth * ux;
        g[yAt + i] -= 2 * weight * depth * uy;
        return weight * depth * depth;
    }

    /// <summary>By how much two bodies are too near each other where the model has them, µm; not above 0 when they are not.</summary>
    public double DepthBetween(int i, int j)
    {
        var v = model.V;
        if (round[i] && round[j])
            return bodies.Shapes[i].Bound + bodies.Shapes[j].Bound + model.Owed(i, j) - Geometry.Plane.Distance(v[i], v[yAt + i], v[j], v[yAt + j]);
        var contact = default(Contact);
        var deepest = 0.0;
        for (var a = bodies.FirstPart(i); a < bodies.FirstPart(i + 1); a++)
        {
            for (var b = bodies.FirstPart(j); b < bodies.FirstPart(j + 1); b++)
            {
                bodies.Meet(a, b, model.Owed(i, j), ref contact);
                deepest = Math.Max(deepest, contact.Depth);
            }
        }

        return deepest;
    }

    /// <summary>The energy between one item and the edges that hold it in.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public double OfWalls(int i, double[] v, double[] g)
    {
        double energy = 0;
        var (cx, cy, bound) = (v[i], v[yAt + i], bodies.Shapes[i].Bound);
        var walls = model.Walls;
        for (var e = 0; e < walls.Length; e++)
        {
            var (x, y, radius) = walls[e];
            if (easing is not null) radius -= easing.OfEdge(i, e);
            var clear = radius - bound;
            var (dx, dy) = (cx - x, cy - y);
            var squared = (dx * dx) + (dy * dy);
            if (clear > 0 && squared <= clear * clear) continue;
            energy += round[i] ? DiscOutside(i, dx, dy, Math.Sqrt(squared), clear, g) : CornersOutside(i, x, y, radius, v, g);
        }

        var planes = model.Planes;
        for (var e = 0; e < planes.Length; e++)
        {
            var (nx, ny, limit) = planes[e];
            if (easing is not null) limit -= easing.OfEdge(i, walls.Length + e);
            var depth = (nx * cx) + (ny * cy) + bound - limit;
            if (depth <= 0) continue;
            if (!round[i])
            {
                energy += CornersBeyond(i, nx, ny, limit, v, g);
                continue;
            }

            energy += depth * depth;
            g[i] += 2 * depth * nx;
            g[yAt + i] += 2 * depth * ny;
        }

        return energy;
    }

    /// <summary>By how much an item is too near an edge, or beyond it, where the model has it, µm; not above 0 when it is not.</summary>
    public double DepthBeyond(int i, int edge)
    {
        var (eased, walls) = (easing?.OfEdge(i, edge) ?? 0, model.Walls.Length);
        var deepest = 0.0;
        for (var p = bodies.FirstPart(i); p < bodies.FirstPart(i + 1); p++)
        {
            var (from, to) = bodies.Corners(p);
            for (var c = from; c < to; c++)
            {
                var (x, y) = round[i] ? (model.V[i], model.V[yAt + i]) : (bodies.CornerX(c), bodies.CornerY(c));
                deepest = Math.Max(deepest, bodies.Radius(p) + eased + (edge < walls
                    ? Geometry.Plane.Distance(x, y, model.Walls[edge].X, model.Walls[edge].Y) - model.Walls[edge].Radius
                    : (model.Planes[edge - walls].Nx * x) + (model.Planes[edge - walls].Ny * y) - model.Planes[edge - walls].Limit));
            }
        }

        return deepest;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double OfRoundPairs(double[] v, double[] g)
    {
        var list = pairs.Round;
        ReadOnlySpan<double> x = v.AsSpan(0, model.Total), y = v.AsSpan(yAt, model.Total);
        Span<double> gx = g.AsSpan(0, model.Total), gy = g.AsSpan(yAt, model.Total);
        double energy = 0;
        for (var p = 0; p < list.Count; p++)
        {
            var (i, j, reach) = (list.First[p], list.Second[p], list.Reach[p]);
            var (dx, dy) = (x[i] - x[j], y[i] - y[j]);
            var squared = (dx * dx) + (dy * dy);
            if (squared >= reach * reach) continue;
            var distance = Math.Sqrt(squared);
            var depth = reach - distance;
            var force = list.Weight[p] * depth;
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

    // Two bodies of which one at least has corners; the reach is the sum of their bounds and of what is owed.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double OfRoughPair(int i, int j, double reach, double weight, double[] v, double[] g)
    {
        var (dx, dy) = (v[i] - v[j], v[yAt + i] - v[yAt + j]);
        if ((dx * dx) + (dy * dy) >= reach * reach) return 0;
        var owed = model.Owed(i, j);
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
                if (j < model.Count) Push(j, ref contact, -strength, v, g);
            }
        }

        return energy;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private void Push(int i, ref Contact contact, double force, double[] v, double[] g)
    {
        g[i] += force * contact.Nx;
        g[yAt + i] += force * contact.Ny;
        g[turnAt + i] += force * (((contact.X - v[i]) * contact.Ny) - ((contact.Y - v[yAt + i]) * contact.Nx)) / model.TurnLengthOf(i);
    }

    private double DiscOutside(int i, double dx, double dy, double distance, double clear, double[] g)
    {
        var depth = distance - clear;
        // In the very middle any way out is as good as another.
        var (ux, uy) = distance < 1e-9 ? (1.0, 0.0) : (dx / distance, dy / distance);
        g[i] += 2 * depth * ux;
        g[yAt + i] += 2 * depth * uy;
        return depth * depth;
    }

    private double CornersOutside(int i, double x, double y, double radius, double[] v, double[] g)
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

    private double CornersBeyond(int i, double nx, double ny, double limit, double[] v, double[] g)
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
}
