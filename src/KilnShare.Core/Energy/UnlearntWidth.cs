using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Energy;

/// <summary>How far off a forecast may be for a kiln that nothing has been learnt of.</summary>
public static class UnlearntWidth
{
    private const double At200LitresPercent = 24;
    private const double LeastPercent = 20;
    private const double MostPercent = 60;

    /// <summary>
    /// The half-width, percent. What the model does not know (seams, supply, what was in) counts by the surface and the energy by the volume, so it
    /// grows as the cube root of the volume falls.
    /// </summary>
    /// <remarks>
    /// Source: five published metered firings of kilns of 75 and 194 litres, all taken with 200 kg of ware and 110 of furniture a cubic metre and three
    /// inches of brick: they lie up to 23 % from the forecast in the large kiln and up to 28 % in the small one, and all within this. That it goes by
    /// surface over volume is derived. Units: %. Valid for: electric kilns. Accuracy: rests on two kilns.
    /// </remarks>
    public static double Percent(Chamber chamber)
    {
        var litres = FootprintMeasure.AreaUm2(chamber.Footprint) * 1e-12 * chamber.Height.Micrometres * 1e-6 * 1000;
        return Math.Clamp(At200LitresPercent * Math.Cbrt(200 / litres), LeastPercent, MostPercent);
    }
}
