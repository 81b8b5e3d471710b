using KilnShare.Core.Common;

namespace KilnShare.Core.Pieces;

/// <summary>Area and perimeter of a footprint.</summary>
public static class FootprintMeasure
{
    /// <summary>The area, µm².</summary>
    /// <remarks>Source: elementary geometry. Units: µm². Valid for: every footprint. Accuracy: that of a double.</remarks>
    public static double AreaUm2(Footprint footprint) => footprint switch
    {
        Footprint.Circle c => Math.PI / 4 * Square(c.Diameter),
        Footprint.Rectangle r => (double)r.Width.Micrometres * r.Depth.Micrometres,
        Footprint.Octagon o => 2 * (Math.Sqrt(2) - 1) * Square(o.AcrossFlats),
        Footprint.HalfCircle h => Math.PI / 8 * Square(h.Diameter),
        Footprint.Polygon p => (double)TwiceAreaUm2(p.Points) / 2,
        _ => throw new ArgumentOutOfRangeException(nameof(footprint)),
    };

    /// <summary>The length of the outline, µm.</summary>
    /// <remarks>Source: elementary geometry. Units: µm. Valid for: every footprint. Accuracy: that of a double.</remarks>
    public static double PerimeterUm(Footprint footprint) => footprint switch
    {
        Footprint.Circle c => Math.PI * c.Diameter.Micrometres,
        Footprint.Rectangle r => 2.0 * (r.Width + r.Depth).Micrometres,
        Footprint.Octagon o => 8 * (Math.Sqrt(2) - 1) * o.AcrossFlats.Micrometres,
        Footprint.HalfCircle h => (1 + Math.PI / 2) * h.Diameter.Micrometres,
        Footprint.Polygon p => p.Points.Select((a, i) => Distance(a, p.Points[(i + 1) % p.Points.Count])).Sum(),
        _ => throw new ArgumentOutOfRangeException(nameof(footprint)),
    };

    private static Int128 TwiceAreaUm2(IReadOnlyList<PlanPoint> points)
    {
        Int128 twice = 0;
        for (var i = 0; i < points.Count; i++)
        {
            var (a, b) = (points[i], points[(i + 1) % points.Count]);
            twice += (Int128)a.X * b.Y - (Int128)b.X * a.Y;
        }
        return Int128.Abs(twice);
    }

    private static double Square(Length length) => (double)length.Micrometres * length.Micrometres;

    private static double Distance(PlanPoint a, PlanPoint b) => Math.Sqrt(Math.Pow(a.X - b.X, 2) + Math.Pow(a.Y - b.Y, 2));
}
