using KilnShare.Core.Kilns;

namespace KilnShare.Core.Energy;

/// <summary>A material's conductivity by temperature, laid out for the model's inner loop.</summary>
internal sealed class ConductivityCurve
{
    private readonly double[] meanC;
    private readonly double[] wPerMK;

    public ConductivityCurve(IReadOnlyList<ConductivityPoint> points)
    {
        meanC = points.Select(p => p.MeanC).ToArray();
        wPerMK = points.Select(p => p.WPerMK).ToArray();
    }

    /// <summary>Conductivity at a mean temperature: linear between the points, held beyond them.</summary>
    public double At(double celsius)
    {
        if (celsius <= meanC[0]) return wPerMK[0];
        for (var i = 1; i < meanC.Length; i++)
        {
            if (celsius > meanC[i]) continue;
            return wPerMK[i - 1] + (wPerMK[i] - wPerMK[i - 1]) * (celsius - meanC[i - 1]) / (meanC[i] - meanC[i - 1]);
        }
        return wPerMK[^1];
    }
}
