using KilnShare.Core.Kilns;

namespace KilnShare.Core.Energy;

/// <summary>
/// The wall cut into thin slabs: nodes from the hot face to the jacket, with a node on every boundary between layers. Conductivities are those
/// of the temperatures before the step, the rest is implicit, so heat that leaves one slab is exactly the heat that enters the next.
/// </summary>
/// <remarks>
/// Source: control volumes with backward Euler, Patankar, "Numerical Heat Transfer and Fluid Flow" (1980), chapters 3 and 4. Accuracy: second
/// order in the slab, first in the step.
/// </remarks>
internal sealed class WallGrid
{
    private readonly ConductivityCurve[] conductivity;
    private readonly double[] areaOverThickness;
    private readonly double[] conductance;
    private readonly double[] alpha;
    private readonly double[] beta;
    private readonly double lossFactor;
    private readonly Func<double, double, double> outerCoefficient;
    private double outerWPerK;

    /// <param name="layers">From the inside.</param>
    /// <param name="surface">Areas by depth.</param>
    /// <param name="slabsPerLayer">How many slabs a layer is cut into.</param>
    /// <param name="lossFactor">Times every conductivity.</param>
    /// <param name="startC">The whole wall's temperature at the start.</param>
    /// <param name="outerCoefficient">W/(m²·K) from jacket and room temperature.</param>
    public WallGrid(
        IReadOnlyList<WallLayer> layers, KilnSurface surface, int slabsPerLayer, double lossFactor, double startC,
        Func<double, double, double> outerCoefficient)
    {
        var slabs = layers.Count * slabsPerLayer;
        (conductivity, areaOverThickness, conductance) = (new ConductivityCurve[slabs], new double[slabs], new double[slabs]);
        (Celsius, HeatCapacityJPerK) = (new double[slabs + 1], new double[slabs + 1]);
        (alpha, beta) = (new double[slabs + 1], new double[slabs + 1]);
        (this.lossFactor, this.outerCoefficient) = (lossFactor, outerCoefficient);
        Array.Fill(Celsius, startC);
        var curves = layers.Select(l => new ConductivityCurve(l.Material.Conductivity)).ToArray();
        var depth = 0.0;
        for (var s = 0; s < slabs; s++)
        {
            var layer = layers[s / slabsPerLayer];
            var thickness = layer.Thickness.Micrometres * 1e-6 / slabsPerLayer;
            conductivity[s] = curves[s / slabsPerLayer];
            areaOverThickness[s] = surface.AtM2(depth + thickness / 2) / thickness;
            var volumetric = layer.Material.DensityKgPerM3 * layer.Material.HeatCapacityJPerKgK * thickness / 2;
            HeatCapacityJPerK[s] += volumetric * surface.AtM2(depth + thickness / 4);
            HeatCapacityJPerK[s + 1] += volumetric * surface.AtM2(depth + 3 * thickness / 4);
            depth += thickness;
        }
        OuterM2 = surface.AtM2(depth);
    }

    /// <summary>Temperatures of the nodes, the hot face first.</summary>
    public double[] Celsius { get; }

    /// <summary>Heat capacities of the nodes.</summary>
    public double[] HeatCapacityJPerK { get; }

    /// <summary>Area of the jacket.</summary>
    public double OuterM2 { get; }

    /// <summary>
    /// Prepares a step: afterwards the heat that flows into the wall behind the hot face, W, is <c>a·T − b</c> for a hot face of T at the step's end.
    /// </summary>
    public (double WPerK, double W) Prepare(double seconds, double roomC)
    {
        var last = conductance.Length;
        for (var s = 0; s < last; s++)
            conductance[s] = lossFactor * conductivity[s].At((Celsius[s] + Celsius[s + 1]) / 2) * areaOverThickness[s];
        outerWPerK = outerCoefficient(Celsius[last], roomC) * OuterM2;
        var (outWPerK, outW) = (outerWPerK, outerWPerK * roomC);
        for (var i = last; i >= 1; i--)
        {
            var stored = HeatCapacityJPerK[i] / seconds;
            var sum = stored + conductance[i - 1] + outWPerK;
            alpha[i] = (stored * Celsius[i] + outW) / sum;
            beta[i] = conductance[i - 1] / sum;
            outWPerK = conductance[i - 1] * (1 - beta[i]);
            outW = conductance[i - 1] * alpha[i];
        }
        return (outWPerK, outW);
    }

    /// <summary>Takes the prepared step with the hot face at a temperature; the heat given to the room in it, W.</summary>
    public double Take(double hotFaceC, double roomC)
    {
        Celsius[0] = hotFaceC;
        for (var i = 1; i < Celsius.Length; i++) Celsius[i] = alpha[i] + beta[i] * Celsius[i - 1];
        return outerWPerK * (Celsius[^1] - roomC);
    }

    /// <summary>Heat stored since the start, J.</summary>
    public double StoredJ(double startC)
    {
        var sum = 0.0;
        for (var i = 0; i < Celsius.Length; i++) sum += HeatCapacityJPerK[i] * (Celsius[i] - startC);
        return sum;
    }
}
