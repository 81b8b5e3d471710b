using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Costs;

/// <summary>How much ware a kiln could hold at the very most, to tell what nobody used.</summary>
public static class KilnCapacity
{
    /// <summary>The floor inside the wall clearance, times the height below the lid clearance, cm³ to three decimals.</summary>
    /// <remarks>
    /// Source: a convex outline drawn in by c loses perimeter·c and gains k·c², with k = π for a circle, 4 for a rectangle, 8·(√2 − 1) for a
    /// regular octagon (plane geometry); for other outlines k = 0, which is a little too small. Units: cm³. Shelves and posts are not taken off.
    /// </remarks>
    public static decimal Cm3(Chamber chamber)
    {
        var c = (double)chamber.WallClearance.Micrometres;
        var floorUm2 = FootprintMeasure.AreaUm2(
            chamber.Footprint) - FootprintMeasure.PerimeterUm(chamber.Footprint) * c + CornerFactor(chamber.Footprint) * c * c;
        var heightUm = Math.Max(0, (chamber.Height - chamber.LidClearance).Micrometres);
        return Math.Round((decimal)(Math.Max(0, floorUm2) / 1e8 * (heightUm / 1e4)), 3, MidpointRounding.AwayFromZero);
    }

    private static double CornerFactor(Footprint footprint) => footprint switch
    {
        Footprint.Circle => Math.PI,
        Footprint.Rectangle => 4,
        Footprint.Octagon => 8 * (Math.Sqrt(2) - 1),
        _ => 0,
    };
}
