using KilnShare.Core.Common;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Costs;

/// <summary>The room a piece takes in a kiln wherever it stands, so that it can be quoted before anything is loaded.</summary>
public static class SpacingEnvelope
{
    private const double Um2PerCm2 = 1e8;

    /// <summary>The footprint grown by half the gap all round, times the height plus the headroom, cm³ to three decimals.</summary>
    /// <remarks>
    /// Source: Steiner's formula for a convex outline, area + perimeter·r + π·r² (Schneider, "Convex Bodies", 1993, section 4.1, from memory);
    /// for other polygons the outline itself is grown (<see cref="GrownPolygon"/>), so that a hollow is charged only where the gap fills it.
    /// Units: cm³. Valid for: the shapes of <see cref="Footprint"/>. Accuracy: rounded once, half away from zero; non-convex polygons within 10⁻⁵.
    /// </remarks>
    public static decimal VolumeCm3(Footprint footprint, Length height, Length gap, Length headroom)
    {
        var grownCm2 = GrownUm2(footprint, gap.Micrometres / 2.0) / Um2PerCm2;
        return Rounded(grownCm2 * (height + headroom).Micrometres / 10_000.0);
    }

    /// <summary>The area of a footprint itself, cm² to three decimals.</summary>
    public static decimal FootprintCm2(Footprint footprint) => Rounded(FootprintMeasure.AreaUm2(footprint) / Um2PerCm2);

    private static double GrownUm2(Footprint footprint, double grownByUm) =>
        footprint is Footprint.Polygon polygon && !IsConvex(polygon.Points)
            ? GrownPolygon.AreaUm2(polygon.Points, grownByUm)
            : FootprintMeasure.AreaUm2(footprint) + FootprintMeasure.PerimeterUm(footprint) * grownByUm + Math.PI * grownByUm * grownByUm;

    private static bool IsConvex(IReadOnlyList<PlanPoint> points)
    {
        for (var i = 0; i < points.Count; i++)
        {
            var (a, b, c) = (points[i], points[(i + 1) % points.Count], points[(i + 2) % points.Count]);
            if ((Int128)(b.X - a.X) * (c.Y - b.Y) < (Int128)(b.Y - a.Y) * (c.X - b.X)) return false;
        }
        return true;
    }

    private static decimal Rounded(double value) => Math.Round((decimal)value, 3, MidpointRounding.AwayFromZero);
}
