using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>A shelf for rectangles with sides along x and y: its edges, and what on it does not move. Whole µm.</summary>
internal sealed class RectangleShelf
{
    // Kept beyond the margin, so that no rounding of the arc is seen by the exact checks, µm.
    private const double Reserve = 0.01;

    private readonly (double X, double Y, double R)[] discs;
    private readonly (double Nx, double Ny, double Limit)[] slants;
    private readonly List<Box> blocks = [];

    public RectangleShelf(TraySpace space, Distances distances)
    {
        var region = space.Region;
        var kept = distances.Margin + Reserve;
        discs = [.. region.Discs.Where(d => !region.Discs.Any(e => IsWithin(e, d))).Distinct().Select(d => (d.X, d.Y, d.Radius - kept))];
        slants = [.. region.Planes.Where(p => p.Nx * p.Ny != 0).Select(p => (p.Nx, p.Ny, p.Limit - kept))];
        var (x0, x1, y0, y1) = region.Box;
        (x0, x1, y0, y1) = (x0 + distances.Margin, x1 - distances.Margin, y0 + distances.Margin, y1 - distances.Margin);
        foreach (var (nx, ny, limit) in region.Planes)
        {
            if (ny == 0 && nx > 0) x1 = Math.Min(x1, limit - distances.Margin);
            else if (ny == 0) x0 = Math.Max(x0, distances.Margin - limit);
            else if (nx == 0 && ny > 0) y1 = Math.Min(y1, limit - distances.Margin);
            else if (nx == 0) y0 = Math.Max(y0, distances.Margin - limit);
        }

        All = Whole(x0, y0, x1, y1, -1);
        foreach (var obstacle in space.ExactObstacles)
        {
            if (obstacle.From < space.ShelfTop + space.Height && obstacle.To > space.ShelfTop) Bar(obstacle.Shape, obstacle.Clearance + distances.Margin);
        }
    }

    /// <summary>A box around all of the shelf.</summary>
    public Box All { get; }

    /// <summary>What does not move, with what is owed to it.</summary>
    public IReadOnlyList<Box> Blocks => blocks;

    public double MiddleX => (All.X0 + All.X1) / 2;

    public double MiddleY => (All.Y0 + All.Y1) / 2;

    /// <summary>Nothing may come nearer to this than what is owed.</summary>
    public void Bar(PlacedShape shape, double owed)
    {
        if (!shape.IsDisc)
        {
            blocks.Add(Whole((shape.MinX / 2.0) - owed, (shape.MinY / 2.0) - owed, (shape.MaxX / 2.0) + owed, (shape.MaxY / 2.0) + owed, 1));
            return;
        }

        var (x, y, r) = (shape.X / 2.0, shape.Y / 2.0, (shape.Radius / 2.0) + owed + Reserve);
        for (var k = 0; k < ShelfTuning.StripsOfDisc; k++)
        {
            var (from, to) = (-r + (2 * r * k / ShelfTuning.StripsOfDisc), -r + (2 * r * (k + 1) / ShelfTuning.StripsOfDisc));
            var nearest = from < 0 && to > 0 ? 0 : Math.Min(Math.Abs(from), Math.Abs(to));
            var half = Math.Sqrt(Math.Max(0, (r * r) - (nearest * nearest)));
            blocks.Add(Whole(x - half, y + from, x + half, y + to, 1));
        }
    }

    /// <summary>Where in a free box a rectangle lies within the edge, if anywhere: as near the middle as it can be.</summary>
    public bool Lies(in Box free, double w, double d, out double x, out double y)
    {
        (x, y) = (0, 0);
        if (free.X1 - free.X0 < w || free.Y1 - free.Y0 < d) return false;
        var (cx, cy) = discs.Length > 0 ? (discs[0].X, discs[0].Y) : (MiddleX, MiddleY);
        x = Math.Clamp(Math.Round(cx - (w / 2)), free.X0, free.X1 - w);
        y = Math.Clamp(Math.Round(cy - (d / 2)), free.Y0, free.Y1 - d);
        return IsInside(x, y, w, d);
    }

    /// <summary>Moves a rectangle within a free box as far as it can go sideways, then lengthways, or the other way about.</summary>
    public void Push(in Box free, double w, double d, bool right, bool up, bool sidewaysFirst, ref double x, ref double y)
    {
        if (sidewaysFirst) x = Across(free, x, y, w, d, right);
        y = Along(free, x, y, w, d, up);
        if (!sidewaysFirst) x = Across(free, x, y, w, d, right);
    }

    private double Across(in Box free, double x, double y, double w, double d, bool right)
    {
        var (low, high) = (free.X0, free.X1 - w);
        foreach (var (cx, cy, r) in discs)
        {
            var dy = Math.Max(Math.Abs(y - cy), Math.Abs(y + d - cy));
            var half = Math.Sqrt(Math.Max(0, (r * r) - (dy * dy)));
            (low, high) = (Math.Max(low, Math.Ceiling(cx - half)), Math.Min(high, Math.Floor(cx + half - w)));
        }

        foreach (var (nx, ny, limit) in slants)
        {
            var left = limit - (ny * (ny > 0 ? y + d : y));
            if (nx > 0) high = Math.Min(high, Math.Floor((left / nx) - w));
            else low = Math.Max(low, Math.Ceiling(left / nx));
        }

        // Where rounding leaves no whole µm between the two, it stays.
        return low > high ? x : right ? high : low;
    }

    private double Along(in Box free, double x, double y, double w, double d, bool up)
    {
        var (low, high) = (free.Y0, free.Y1 - d);
        foreach (var (cx, cy, r) in discs)
        {
            var dx = Math.Max(Math.Abs(x - cx), Math.Abs(x + w - cx));
            var half = Math.Sqrt(Math.Max(0, (r * r) - (dx * dx)));
            (low, high) = (Math.Max(low, Math.Ceiling(cy - half)), Math.Min(high, Math.Floor(cy + half - d)));
        }

        foreach (var (nx, ny, limit) in slants)
        {
            var left = limit - (nx * (nx > 0 ? x + w : x));
            if (ny > 0) high = Math.Min(high, Math.Floor((left / ny) - d));
            else low = Math.Max(low, Math.Ceiling(left / ny));
        }

        return low > high ? y : up ? high : low;
    }

    private bool IsInside(double x, double y, double w, double d)
    {
        foreach (var (cx, cy, r) in discs)
        {
            var (dx, dy) = (Math.Max(Math.Abs(x - cx), Math.Abs(x + w - cx)), Math.Max(Math.Abs(y - cy), Math.Abs(y + d - cy)));
            if ((dx * dx) + (dy * dy) > r * r) return false;
        }

        foreach (var (nx, ny, limit) in slants)
        {
            if ((nx * (nx > 0 ? x + w : x)) + (ny * (ny > 0 ? y + d : y)) > limit) return false;
        }

        return true;
    }

    private static bool IsWithin((double X, double Y, double Radius) inner, (double X, double Y, double Radius) outer) =>
        inner != outer && Plane.Distance(inner.X, inner.Y, outer.X, outer.Y) + inner.Radius <= outer.Radius;

    // Rounded outward with sign 1, inward with -1.
    private static Box Whole(double x0, double y0, double x1, double y1, int sign) => sign > 0
        ? new Box(Math.Floor(x0), Math.Floor(y0), Math.Ceiling(x1), Math.Ceiling(y1))
        : new Box(Math.Ceiling(x0), Math.Ceiling(y0), Math.Floor(x1), Math.Floor(y1));
}
