using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Geometry;

/// <summary>
/// A footprint in its place as the contract defines it: vertices (or arc) after turning, rounded once to whole micrometres.
/// Kept in half micrometres, so that a radius is whole too.
/// </summary>
internal sealed class PlacedShape
{
    private PlacedShape(long x, long y, long radius, long[] cornersX, long[] cornersY)
    {
        X = x;
        Y = y;
        Radius = radius;
        CornersX = cornersX;
        CornersY = cornersY;
        (MinX, MaxX, MinY, MaxY) = (x - radius, x + radius, y - radius, y + radius);
        if (radius > 0 || cornersX.Length == 0) return;
        (MinX, MaxX, MinY, MaxY) = (long.MaxValue, long.MinValue, long.MaxValue, long.MinValue);
        for (var i = 0; i < cornersX.Length; i++)
        {
            (MinX, MaxX) = (Math.Min(MinX, cornersX[i]), Math.Max(MaxX, cornersX[i]));
            (MinY, MaxY) = (Math.Min(MinY, cornersY[i]), Math.Max(MaxY, cornersY[i]));
        }
    }

    /// <summary>Sides of a box around it, half µm; of a half disc around its full disc.</summary>
    public long MinX { get; }

    public long MaxX { get; }

    public long MinY { get; }

    public long MaxY { get; }

    /// <summary>Centre of the disc, half µm; of a polygon its origin.</summary>
    public long X { get; }

    public long Y { get; }

    /// <summary>Radius of a disc or half disc, half µm; 0 for a polygon.</summary>
    public long Radius { get; }

    /// <summary>Corners of a polygon; the two ends of a half disc's flat side, its body to their left; empty for a disc.</summary>
    public long[] CornersX { get; }

    public long[] CornersY { get; }

    public bool IsDisc => CornersX.Length == 0;

    public bool IsHalf => Radius > 0 && CornersX.Length == 2;

    /// <summary>The footprint with its origin at (x, y) µm, turned by so many thousandths of a degree.</summary>
    public static PlacedShape Of(Footprint footprint, long x, long y, int thousandths)
    {
        switch (footprint)
        {
            case Footprint.Circle circle:
                return new PlacedShape(2 * x, 2 * y, circle.Diameter.Micrometres, [], []);
            case Footprint.HalfCircle half:
                var (cos, sin) = Turning.Of(thousandths);
                var radius = half.Diameter.Micrometres / 2.0;
                var (dx, dy) = (2 * Round(-sin * radius), 2 * Round(cos * radius));
                return new PlacedShape(2 * x, 2 * y, half.Diameter.Micrometres, [(2 * x) + dx, (2 * x) - dx], [(2 * y) + dy, (2 * y) - dy]);
            default:
                return OfCorners(Shape.Corners(footprint), x, y, thousandths);
        }
    }

    /// <summary>A disc about an axis, such as a post; µm.</summary>
    public static PlacedShape Disc(long x, long y, long diameter) => new(2 * x, 2 * y, diameter, [], []);

    private static PlacedShape OfCorners((double X, double Y)[] corners, long x, long y, int thousandths)
    {
        var (cos, sin) = Turning.Of(thousandths);
        var (xs, ys) = (new long[corners.Length], new long[corners.Length]);
        for (var i = 0; i < corners.Length; i++)
        {
            xs[i] = 2 * (x + Round((cos * corners[i].X) - (sin * corners[i].Y)));
            ys[i] = 2 * (y + Round((sin * corners[i].X) + (cos * corners[i].Y)));
        }

        return new PlacedShape(2 * x, 2 * y, 0, xs, ys);
    }

    private static long Round(double micrometres) => (long)Math.Round(micrometres, MidpointRounding.AwayFromZero);
}
