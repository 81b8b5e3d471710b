namespace KilnShare.Core.Energy;

/// <summary>Heat taken up by a kilogram on its way from absolute zero of the formula to a temperature; differences are what counts.</summary>
public static class SpecificHeat
{
    private const double KelvinAtZeroC = 273.15;

    private const double FurnitureAt20CJPerKgK = 800;
    private const double FurnitureAt1200CJPerKgK = 1200;

    /// <summary>Fired clay, J/kg.</summary>
    /// <remarks>
    /// Source: a published study of the specific heat of kaolinitic clays: 1128 + 0.102·T − 36·10⁶/T² J/(kg·K), integrated. Units: J/kg.
    /// Valid for: 40–1100 °C, used beyond for want of better. Accuracy: about 5 %, from memory.
    /// </remarks>
    public static double ClayJPerKg(double celsius)
    {
        var kelvin = celsius + KelvinAtZeroC;
        return 1128 * kelvin + 0.051 * kelvin * kelvin + 36e6 / kelvin;
    }

    /// <summary>Specific heat of fired clay, J/(kg·K).</summary>
    /// <remarks>Source, units, validity: as <see cref="ClayJPerKg"/>.</remarks>
    public static double ClayJPerKgK(double celsius)
    {
        var kelvin = celsius + KelvinAtZeroC;
        return 1128 + 0.102 * kelvin - 36e6 / (kelvin * kelvin);
    }

    /// <summary>Cordierite shelves and posts, J/kg.</summary>
    /// <remarks>
    /// From memory: 800–1200 J/(kg·K), taken as rising evenly from 20 to 1200 °C. Units: J/kg.
    /// Valid for: 0–1300 °C. Accuracy: about 10 %.
    /// </remarks>
    public static double FurnitureJPerKg(double celsius) => celsius * (FurnitureJPerKgK(0) + FurnitureJPerKgK(celsius)) / 2;

    /// <summary>Specific heat of cordierite, J/(kg·K).</summary>
    /// <remarks>Source, units, validity: as <see cref="FurnitureJPerKg"/>.</remarks>
    public static double FurnitureJPerKgK(double celsius) =>
        FurnitureAt20CJPerKgK + (FurnitureAt1200CJPerKgK - FurnitureAt20CJPerKgK) * (celsius - 20) / 1180;
}
