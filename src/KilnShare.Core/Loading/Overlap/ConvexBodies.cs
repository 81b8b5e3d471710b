using System.Runtime.CompilerServices;
using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>Where two convex parts come too near each other.</summary>
internal ref struct Contact
{
    /// <summary>By how much they are too near, µm; not above 0 when they are not.</summary>
    public double Depth;

    /// <summary>Unit vector along which the first moves to get away from the second.</summary>
    public double Nx;

    public double Ny;

    /// <summary>Where they meet.</summary>
    public double X;

    public double Y;
}

/// <summary>Convex parts in their places, flat in memory: part p has corners Start[p] to Start[p+1].</summary>
internal sealed class ConvexBodies
{
    private readonly double[] x;
    private readonly double[] y;
    private readonly int[] start;
    private readonly double[] radius;
    private readonly double[] centreX;
    private readonly double[] centreY;
    private readonly double[] bound;
    private readonly int[] firstPart;

    public ConvexBodies(IReadOnlyList<Shape> shapes)
    {
        Shapes = [.. shapes];
        firstPart = new int[shapes.Count + 1];
        for (var i = 0; i < shapes.Count; i++) firstPart[i + 1] = firstPart[i] + shapes[i].Parts.Length;
        var parts = shapes.SelectMany(s => s.Parts).ToArray();
        start = new int[parts.Length + 1];
        for (var p = 0; p < parts.Length; p++) start[p + 1] = start[p] + parts[p].X.Length;
        (x, y) = (new double[start[^1]], new double[start[^1]]);
        (centreX, centreY) = (new double[parts.Length], new double[parts.Length]);
        radius = [.. parts.Select(p => p.Radius)];
        bound = [.. parts.Select(p => p.Bound)];
    }

    public Shape[] Shapes { get; }

    /// <summary>Puts body i with its centre at (cx, cy), turned.</summary>
    public void Place(int i, double cx, double cy, double cos, double sin)
    {
        var shape = Shapes[i];
        for (var k = 0; k < shape.Parts.Length; k++)
        {
            var part = shape.Parts[k];
            var p = firstPart[i] + k;
            centreX[p] = cx + (cos * part.CentreX) - (sin * part.CentreY);
            centreY[p] = cy + (sin * part.CentreX) + (cos * part.CentreY);
            var at = start[p];
            for (var c = 0; c < part.X.Length; c++)
            {
                x[at + c] = cx + (cos * part.X[c]) - (sin * part.Y[c]);
                y[at + c] = cy + (sin * part.X[c]) + (cos * part.Y[c]);
            }
        }
    }

    public int FirstPart(int i) => firstPart[i];

    public (int From, int To) Corners(int part) => (start[part], start[part + 1]);

    public double CornerX(int corner) => x[corner];

    public double CornerY(int corner) => y[corner];

    public double Radius(int part) => radius[part];

    /// <summary>How parts a and b meet, where <paramref name="gap"/> is owed between them.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Meet(int a, int b, double gap, ref Contact contact)
    {
        contact.Depth = 0;
        var reach = bound[a] + bound[b] + gap;
        var (dx, dy) = (centreX[a] - centreX[b], centreY[a] - centreY[b]);
        if ((dx * dx) + (dy * dy) >= reach * reach) return;
        var owed = radius[a] + radius[b] + gap;
        var (na, nb) = (start[a + 1] - start[a], start[b + 1] - start[b]);
        if (na == 1 && nb == 1)
        {
            PointPoint(dx, dy, a, owed, ref contact);
        }
        else if (na == 1)
        {
            PointPolygon(start[a], b, owed, ref contact);
        }
        else if (nb == 1)
        {
            PointPolygon(start[b], a, owed, ref contact);
            (contact.Nx, contact.Ny) = (-contact.Nx, -contact.Ny);
        }
        else
        {
            PolygonPolygon(a, b, owed, ref contact);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private void PointPoint(double dx, double dy, int a, double owed, ref Contact contact)
    {
        var distance = Math.Sqrt((dx * dx) + (dy * dy));
        contact.Depth = owed - distance;
        (contact.Nx, contact.Ny) = distance > 1e-9 ? (dx / distance, dy / distance) : (1, 0);
        (contact.X, contact.Y) = (centreX[a], centreY[a]);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void PointPolygon(int corner, int polygon, double owed, ref Contact contact)
    {
        var (px, py) = (x[corner], y[corner]);
        var (from, to) = (start[polygon], start[polygon + 1]);
        var (deepest, nx, ny) = (double.NegativeInfinity, 0.0, 0.0);
        for (int i = from, j = to - 1; i < to; j = i++)
        {
            var (ex, ey) = (x[i] - x[j], y[i] - y[j]);
            var scale = 1 / Math.Sqrt((ex * ex) + (ey * ey));
            var separation = ((ey * (px - x[j])) - (ex * (py - y[j]))) * scale;
            if (separation > deepest) (deepest, nx, ny) = (separation, ey * scale, -ex * scale);
        }

        (contact.X, contact.Y) = (px, py);
        if (deepest >= owed) return;
        if (deepest > 0) (deepest, nx, ny) = NearestOnEdges(px, py, from, to);
        (contact.Depth, contact.Nx, contact.Ny) = (owed - deepest, nx, ny);
    }

    private (double Distance, double Nx, double Ny) NearestOnEdges(double px, double py, int from, int to)
    {
        var (least, bestX, bestY) = (double.PositiveInfinity, 0.0, 0.0);
        for (int i = from, j = to - 1; i < to; j = i++)
        {
            var (ex, ey) = (x[i] - x[j], y[i] - y[j]);
            var t = (((px - x[j]) * ex) + ((py - y[j]) * ey)) / ((ex * ex) + (ey * ey));
            t = t < 0 ? 0 : t > 1 ? 1 : t;
            var (dx, dy) = (px - x[j] - (t * ex), py - y[j] - (t * ey));
            var squared = (dx * dx) + (dy * dy);
            if (squared < least) (least, bestX, bestY) = (squared, dx, dy);
        }

        var distance = Math.Sqrt(least);
        return distance > 1e-9 ? (distance, bestX / distance, bestY / distance) : (0, 1, 0);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void PolygonPolygon(int a, int b, double owed, ref Contact contact)
    {
        var byA = Separation(a, b, owed);
        if (byA.Depth >= owed) return;
        var byB = Separation(b, a, owed);
        if (byB.Depth >= owed) return;
        var separation = Math.Max(byA.Depth, byB.Depth);
        if (separation > 0 && Nearest(a, b, owed, ref contact)) return;
        if (byA.Depth >= byB.Depth) (contact.Nx, contact.Ny, contact.X, contact.Y) = (-byA.Nx, -byA.Ny, byA.X, byA.Y);
        else (contact.Nx, contact.Ny, contact.X, contact.Y) = (byB.Nx, byB.Ny, byB.X, byB.Y);
        contact.Depth = owed - separation;
    }

    // The side of polygon a that separates it best from polygon b, with b's foremost corner (or the middle of a foremost side).
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private Side Separation(int a, int b, double owed)
    {
        var (from, to, fromB, toB) = (start[a], start[a + 1], start[b], start[b + 1]);
        var best = new Side { Depth = double.NegativeInfinity };
        for (int i = from, j = to - 1; i < to; j = i++)
        {
            var (ex, ey) = (x[i] - x[j], y[i] - y[j]);
            var scale = 1 / Math.Sqrt((ex * ex) + (ey * ey));
            var (nx, ny) = (ey * scale, -ex * scale);
            var (first, second, at, next) = (double.PositiveInfinity, double.PositiveInfinity, fromB, fromB);
            for (var k = fromB; k < toB; k++)
            {
                var s = (nx * (x[k] - x[j])) + (ny * (y[k] - y[j]));
                if (s < first) (second, next, first, at) = (first, at, s, k);
                else if (s < second) (second, next) = (s, k);
            }

            if (first <= best.Depth) continue;
            // Sides that are nearly parallel meet in the middle of the foremost side, so that they are not twisted.
            var share = second - first < 1 ? 0.5 : 0;
            best = new Side { Depth = first, Nx = nx, Ny = ny, X = x[at] + (share * (x[next] - x[at])), Y = y[at] + (share * (y[next] - y[at])) };
            if (first >= owed) return best;
        }

        return best;
    }

    private bool Nearest(int a, int b, double owed, ref Contact contact)
    {
        var least = double.PositiveInfinity;
        for (var pass = 0; pass < 2; pass++)
        {
            var (one, other, sign) = pass == 0 ? (a, b, 1) : (b, a, -1);
            for (var k = start[one]; k < start[one + 1]; k++)
            {
                var (distance, nx, ny) = NearestOnEdges(x[k], y[k], start[other], start[other + 1]);
                if (distance >= least) continue;
                least = distance;
                (contact.Nx, contact.Ny, contact.X, contact.Y) = (sign * nx, sign * ny, x[k], y[k]);
            }
        }

        contact.Depth = owed - least;
        return least > 1e-6;
    }

    private struct Side
    {
        public double Depth;
        public double Nx;
        public double Ny;
        public double X;
        public double Y;
    }
}
