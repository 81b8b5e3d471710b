using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>
/// Corner places for a rectangle with its sides along x and y: where it touches something sideways and something lengthways
/// (Baker, Coffman and Rivest 1980, bottom-left; Lodi, Martello and Vigo 1999, touching perimeter), on a shelf of any convex shape.
/// </summary>
internal sealed class RectangleCorners
{
    private const double Contact = 12;
    private readonly Tray tray;
    private readonly Item item;
    private readonly Distances distances;
    private readonly int tilt;
    private readonly (double X, double Y) middle;
    private Block[] blocks = [];
    private readonly List<(double From, double To)> barred = [];
    private double width;
    private double depth;
    private double bestX;
    private double bestY;
    private double bestScore;

    private RectangleCorners(Tray tray, Item item, Distances distances, int tilt)
    {
        this.tray = tray;
        this.item = item;
        this.distances = distances;
        this.tilt = tilt;
        var (minX, maxX, minY, maxY) = tray.Space.Region.Box;
        middle = ((minX + maxX) / 2, (minY + maxY) / 2);
    }

    /// <summary>The best free corner place, within the window when there is one; null when there is none.</summary>
    public static PlacedItem? Find(Tray tray, Item item, Distances distances, SeededRandom random, Window? window)
    {
        var (w, d) = SidesOf(item);
        var search = new RectangleCorners(tray, item, distances, random.Below(4));
        var turned = item.Piece.MayTurn && w != d && random.Below(2) == 1;
        var first = search.Try(turned, window);
        if (!item.Piece.MayTurn || w == d) return first;
        // Turned the other way only where that scores higher.
        var score = search.bestScore;
        var second = search.Try(!turned, window);
        return second is not null && (first is null || search.bestScore > score) ? second : first;
    }

    private static (double W, double D) SidesOf(Item item)
    {
        var rectangle = (Pieces.Footprint.Rectangle)item.Piece.Footprint;
        return (rectangle.Width.Micrometres, rectangle.Depth.Micrometres);
    }

    private PlacedItem? Try(bool turned, Window? window)
    {
        var (w, d) = SidesOf(item);
        // A side of odd length counts as longer by 1 µm, so that both halves are whole micrometres.
        (width, depth) = turned ? (d + (d % 2), w + (w % 2)) : (w + (w % 2), d + (d % 2));
        bestScore = double.NegativeInfinity;
        blocks = Blocks(window);
        Sweep(alongX: false, window);
        Sweep(alongX: true, window);
        return double.IsNegativeInfinity(bestScore) ? null : Checked(turned);
    }

    private PlacedItem? Checked(bool turned)
    {
        var placedItem = PlacedItem.At(item, 1, Math.Ceiling(bestX) + (width / 2), Math.Ceiling(bestY) + (depth / 2), turned ? 90_000 : 0);
        if (tray.Allows(placedItem)) return placedItem;
        placedItem = PlacedItem.At(item, 1, Math.Floor(bestX) + (width / 2), Math.Floor(bestY) + (depth / 2), turned ? 90_000 : 0);
        return tray.Allows(placedItem) ? placedItem : null;
    }

    private Block[] Blocks(Window? window)
    {
        var reach = Math.Max(width, depth) + distances.Gap + 20;
        var found = new List<Block>();
        foreach (var s in tray.PlacedItems)
        {
            var owed = (s.Item.Piece.Touch && item.Piece.Touch ? 0 : distances.Gap) + distances.Margin;
            if (window is { } w && !w.Nears(s.CentreX, s.CentreY, s.Item.Shape.Bound + reach)) continue;
            found.Add(Block.Of(s.Exact, owed));
        }

        foreach (var obstacle in tray.Space.ExactObstacles)
        {
            if (obstacle.From >= tray.Space.ShelfTop + item.Height || obstacle.To <= tray.Space.ShelfTop) continue;
            found.Add(Block.Of(obstacle.Shape, obstacle.Clearance + distances.Margin));
        }

        return [.. found];
    }

    // For each line that a side of the rectangle can lie along: the ends of the free stretches across.
    private void Sweep(bool alongX, Window? window)
    {
        var (along, _) = alongX ? (depth, width) : (width, depth);
        foreach (var block in blocks)
        {
            var (low, high) = alongX ? (block.Y0, block.Y1) : (block.X0, block.X1);
            Across(alongX, high + block.Owed, window);
            Across(alongX, low - block.Owed - along, window);
        }

        var (minX, maxX, minY, maxY) = tray.Space.Region.Box;
        var (from, to) = alongX ? (minY, maxY) : (minX, maxX);
        Across(alongX, from + distances.Margin, window);
        Across(alongX, to - distances.Margin - along, window);
        Across(alongX, ((from + to) / 2) - (along / 2), window);
    }

    private void Across(bool alongX, double at, Window? window)
    {
        if (window is { } w && !w.Crosses(alongX, at, at + (alongX ? depth : width))) return;
        if (FreeRange(alongX, at) is not { } range || range.From > range.To) return;
        Bar(alongX, at);
        var free = range.From;
        foreach (var (from, to) in barred)
        {
            if (from > free)
            {
                Offer(alongX, at, free, window);
                Offer(alongX, at, Math.Min(from, range.To), window);
            }

            if (to > free) free = to;
            if (free > range.To) return;
        }

        Offer(alongX, at, free, window);
        Offer(alongX, at, range.To, window);
    }

    // The range across for the near corner that the shelf and the wall leave.
    private (double From, double To)? FreeRange(bool alongX, double at)
    {
        var (length, across) = alongX ? (depth, width) : (width, depth);
        var (from, to) = (double.NegativeInfinity, double.PositiveInfinity);
        foreach (var (dx, dy, radius) in tray.Space.Region.Discs)
        {
            var (cu, cv) = alongX ? (dy, dx) : (dx, dy);
            var far = Math.Max(Math.Abs(at - cu), Math.Abs(at + length - cu));
            var r = radius - distances.Margin;
            if (far > r) return null;
            var half = Math.Sqrt((r * r) - (far * far));
            (from, to) = (Math.Max(from, cv - half), Math.Min(to, cv + half - across));
        }

        foreach (var (px, py, limit) in tray.Space.Region.Planes)
        {
            var (nu, nv) = alongX ? (py, px) : (px, py);
            var left = limit - distances.Margin - Math.Max(nu * at, nu * (at + length));
            if (nv > 1e-12) to = Math.Min(to, (left / nv) - across);
            else if (nv < -1e-12) from = Math.Max(from, left / nv);
            else if (left < 0) return null;
        }

        return (from, to);
    }

    private void Bar(bool alongX, double at)
    {
        barred.Clear();
        var (length, across) = alongX ? (depth, width) : (width, depth);
        foreach (var block in blocks)
        {
            var (u0, u1, v0, v1) = alongX ? (block.Y0, block.Y1, block.X0, block.X1) : (block.X0, block.X1, block.Y0, block.Y1);
            if (block.Radius > 0)
            {
                var (cu, cv, reach) = ((u0 + u1) / 2, (v0 + v1) / 2, block.Radius + block.Owed);
                var away = Math.Max(0, Math.Max(at - cu, cu - at - length));
                if (away >= reach) continue;
                var half = Math.Sqrt((reach * reach) - (away * away));
                barred.Add((cv - half - across, cv + half));
            }
            else if (u0 - block.Owed < at + length && u1 + block.Owed > at)
            {
                barred.Add((v0 - block.Owed - across, v1 + block.Owed));
            }
        }

        barred.Sort();
    }

    private void Offer(bool alongX, double at, double across, Window? window)
    {
        var (x, y) = alongX ? (across, at) : (at, across);
        if (window is { } w && !w.Holds(x, y, x + width, y + depth)) return;
        var score = tilt switch
        {
            0 => -y - (1e-3 * x),
            1 => -x - (1e-3 * y),
            2 => Plane.Distance(x + (width / 2), y + (depth / 2), middle.X, middle.Y),
            _ => Touching(x, y),
        };
        if (score > bestScore) (bestScore, bestX, bestY) = (score, x, y);
    }

    // The part of its perimeter that would touch something.
    private double Touching(double x, double y)
    {
        double touching = 0;
        foreach (var b in blocks)
        {
            var (gapX, gapY) = (Math.Max(b.X0 - (x + width), x - b.X1) - b.Owed, Math.Max(b.Y0 - (y + depth), y - b.Y1) - b.Owed);
            if (gapX > Contact || gapY > Contact) continue;
            if (Math.Abs(gapX) <= Contact) touching += Math.Max(0, Math.Min(b.Y1, y + depth) - Math.Max(b.Y0, y));
            if (Math.Abs(gapY) <= Contact) touching += Math.Max(0, Math.Min(b.X1, x + width) - Math.Max(b.X0, x));
        }

        foreach (var (nx, ny, limit) in tray.Space.Region.Planes)
        {
            var reach = (nx * (nx > 0 ? x + width : x)) + (ny * (ny > 0 ? y + depth : y));
            if (limit - distances.Margin - reach <= Contact) touching += Math.Abs(nx) > 0.5 ? depth : width;
        }

        foreach (var (cx, cy, radius) in tray.Space.Region.Discs)
        {
            var (dx, dy) = (Math.Max(cx - x, x + width - cx), Math.Max(cy - y, y + depth - cy));
            if (radius - distances.Margin - Math.Sqrt((dx * dx) + (dy * dy)) <= Contact) touching += (width + depth) / 2;
        }

        return touching / (2 * (width + depth));
    }

    /// <summary>Something in the way: its box, and its radius when it is a disc.</summary>
    private readonly record struct Block(double X0, double Y0, double X1, double Y1, double Radius, double Owed)
    {
        public static Block Of(PlacedShape shape, double owed)
        {
            if (shape.IsDisc || shape.IsHalf)
            {
                var (x, y, r) = (shape.X / 2.0, shape.Y / 2.0, shape.Radius / 2.0);
                return new Block(x - r, y - r, x + r, y + r, r, owed);
            }

            return new Block(shape.MinX / 2.0, shape.MinY / 2.0, shape.MaxX / 2.0, shape.MaxY / 2.0, 0, owed);
        }
    }
}

/// <summary>A part of a shelf to look for places in, µm.</summary>
internal readonly record struct Window(double X0, double Y0, double X1, double Y1)
{
    public bool Nears(double x, double y, double reach) => x + reach > X0 && x - reach < X1 && y + reach > Y0 && y - reach < Y1;

    public bool Crosses(bool alongX, double from, double to) => alongX ? from < Y1 && to > Y0 : from < X1 && to > X0;

    public bool Holds(double x0, double y0, double x1, double y1) => x0 < X1 && x1 > X0 && y0 < Y1 && y1 > Y0;

    /// <summary>The window about some of what stands on a shelf.</summary>
    public static Window About(IEnumerable<PlacedItem> placedItems)
    {
        var list = placedItems.ToList();
        return new Window(
            list.Min(s => s.CentreX - s.Item.Shape.Bound), list.Min(s => s.CentreY - s.Item.Shape.Bound),
            list.Max(s => s.CentreX + s.Item.Shape.Bound), list.Max(s => s.CentreY + s.Item.Shape.Bound));
    }
}
