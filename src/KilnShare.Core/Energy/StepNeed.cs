namespace KilnShare.Core.Energy;

/// <summary>The power that a step needs to end at a temperature: heat for load and hot face, and what flows out of the chamber.</summary>
/// <param name="Load">Ware, furniture, water, chemistry.</param>
/// <param name="HottestC">The hottest before the step.</param>
/// <param name="BeforeJ">Heat of load and hot face before the step.</param>
/// <param name="CapacityJPerK">Of the hot face's half slab.</param>
/// <param name="Seconds">Length of the step.</param>
/// <param name="OutWPerK">Flow into the wall and out of the openings: so much for each degree of the hot face…</param>
/// <param name="OutW">…less so much.</param>
internal readonly record struct StepNeed(
    LoadEnthalpy Load, double HottestC, double BeforeJ, double CapacityJPerK, double Seconds, double OutWPerK, double OutW)
{
    // Nothing here gets colder, and the formula of clay's heat still rises there; nothing gets hotter in a step.
    private const double ColdestC = -60;
    private const double HottestPossibleC = 5_000;

    private const double WithinW = 1e-6;

    /// <summary>The power needed to end at a temperature.</summary>
    public double W(double celsius) =>
        (Load.TotalJ(celsius, HottestC) + CapacityJPerK * celsius - BeforeJ) / Seconds + OutWPerK * celsius - OutW;

    /// <summary>
    /// The temperature at which a power is just what is needed: Newton's method, kept within a bracket, since need grows with temperature.
    /// </summary>
    public double Reach(double powerW, double fromC)
    {
        var (low, high, celsius) = (ColdestC, HottestPossibleC, fromC);
        for (var i = 0; i < 100; i++)
        {
            var excess = W(celsius) - powerW;
            if (Math.Abs(excess) < WithinW) break;
            if (excess > 0) high = celsius;
            else low = celsius;
            var next = celsius - excess / ((Load.SlopeJPerK(celsius, HottestC) + CapacityJPerK) / Seconds + OutWPerK);
            celsius = next > low && next < high ? next : (low + high) / 2;
        }
        return celsius;
    }
}
