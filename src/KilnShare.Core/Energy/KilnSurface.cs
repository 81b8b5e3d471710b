using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Energy;

/// <summary>How the area that heat passes grows on its way out through the wall.</summary>
/// <param name="InnerM2">Inner surface: side, floor and lid.</param>
/// <param name="GrowthM2PerM">How much more for each metre outward.</param>
public readonly record struct KilnSurface(double InnerM2, double GrowthM2PerM)
{
    /// <summary>
    /// An edge between two plane walls passes as much as 0.54 of its length times the conductivity: the area grows by 1.08 of it a metre.
    /// </summary>
    private const double GrowthPerEdge = 1.08;

    /// <summary>The surface of a chamber; a round one's side grows by 2π of its height, an angular one's by its four edges.</summary>
    /// <remarks>
    /// Source: shape factors of edges by Langmuir, Adams and Meikle, Trans. Am. Electrochem. Soc. 24 (1913) 53 (from memory); corners are left
    /// out. Units: m², m. Valid for: walls thinner than the chamber. Accuracy: about 3 % of the area.
    /// </remarks>
    public static KilnSurface Of(Chamber chamber)
    {
        var height = chamber.Height.Micrometres * 1e-6;
        var perimeter = FootprintMeasure.PerimeterUm(chamber.Footprint) * 1e-6;
        var area = FootprintMeasure.AreaUm2(chamber.Footprint) * 1e-12;
        var sideGrowth = chamber.Footprint is Footprint.Rectangle ? 4 * GrowthPerEdge * height : 2 * Math.PI * height;
        return new KilnSurface(perimeter * height + 2 * area, sideGrowth + 2 * GrowthPerEdge * perimeter);
    }

    /// <summary>The area at a depth in the wall, m².</summary>
    public double AtM2(double depthM) => InnerM2 + GrowthM2PerM * depthM;
}
