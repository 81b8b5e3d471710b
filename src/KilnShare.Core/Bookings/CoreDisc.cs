using KilnShare.Core.Common;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Bookings;

/// <summary>
/// A disc inside a placed footprint, a millimetre smaller than it could be. The database refuses two of them that overlap:
/// a second, coarser wall behind the exact checks, blind to anything thinner than the disc.
/// </summary>
/// <param name="X">Centre, µm.</param>
/// <param name="Y">Centre, µm.</param>
/// <param name="Radius">µm, 1 at the least.</param>
public readonly record struct CoreDisc(long X, long Y, long Radius)
{
    private const long MarginUm = 1000;
    private const int GridSteps = 24;

    /// <summary>The disc of a footprint placed at (<paramref name="x"/>, <paramref name="y"/>) and turned.</summary>
    public static CoreDisc Of(Footprint footprint, Length x, Length y, int rotationThousandths)
    {
        var (cx, cy, radius) = Inside(footprint);
        var (sin, cos) = Math.SinCos(rotationThousandths / 1000.0 * Math.PI / 180);
        return new CoreDisc(
            x.Micrometres + (long)Math.Round((cx * cos) - (cy * sin)),
            y.Micrometres + (long)Math.Round((cx * sin) + (cy * cos)),
            Math.Max(1, (long)radius - MarginUm));
    }

    private static (double X, double Y, double Radius) Inside(Footprint footprint) => footprint switch
    {
        Footprint.Circle c => (0, 0, c.Diameter.Micrometres / 2.0),
        Footprint.Rectangle r => (0, 0, Math.Min(r.Width.Micrometres, r.Depth.Micrometres) / 2.0),
        Footprint.Octagon o => (0, 0, o.AcrossFlats.Micrometres / 2.0),
        Footprint.HalfCircle h => (h.Diameter.Micrometres / 4.0, 0, h.Diameter.Micrometres / 4.0),
        Footprint.Polygon p => Inside(p.Points),
        _ => throw new ArgumentOutOfRangeException(nameof(footprint)),
    };

    /// <summary>The best of a grid of centres: any point inside the polygon will do, the deeper the better.</summary>
    private static (double X, double Y, double Radius) Inside(IReadOnlyList<PlanPoint> corners)
    {
        double left = corners.Min(p => p.X), right = corners.Max(p => p.X), low = corners.Min(p => p.Y), high = corners.Max(p => p.Y);
        var best = (X: 0.0, Y: 0.0, Radius: 0.0);
        for (var i = 1; i < GridSteps; i++)
        {
            for (var j = 1; j < GridSteps; j++)
            {
                var x = left + ((right - left) * i / GridSteps);
                var y = low + ((high - low) * j / GridSteps);
                var depth = DepthAt(corners, x, y);
                if (depth > best.Radius) best = (x, y, depth);
            }
        }

        return best;
    }

    private static double DepthAt(IReadOnlyList<PlanPoint> corners, double x, double y)
    {
        var inside = false;
        var nearest = double.MaxValue;
        for (int i = 0, before = corners.Count - 1; i < corners.Count; before = i++)
        {
            var (a, b) = (corners[before], corners[i]);
            if (a.Y > y != b.Y > y && x < a.X + ((double)(b.X - a.X) * (y - a.Y) / (b.Y - a.Y))) inside = !inside;
            nearest = Math.Min(nearest, DistanceToEdge(a, b, x, y));
        }

        return inside ? nearest : 0;
    }

    private static double DistanceToEdge(PlanPoint a, PlanPoint b, double x, double y)
    {
        double ux = b.X - a.X, uy = b.Y - a.Y;
        var along = Math.Clamp((((x - a.X) * ux) + ((y - a.Y) * uy)) / ((ux * ux) + (uy * uy)), 0, 1);
        return Math.Sqrt(Math.Pow(x - a.X - (along * ux), 2) + Math.Pow(y - a.Y - (along * uy), 2));
    }
}
