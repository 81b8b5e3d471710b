using KilnShare.Core.Common;

namespace KilnShare.Core.Kilns;

/// <summary>Thermal conductivity at one mean temperature.</summary>
/// <param name="MeanC">Mean temperature of the sample, °C.</param>
/// <param name="WPerMK">Conductivity, W/(m·K).</param>
public readonly record struct ConductivityPoint(double MeanC, double WPerMK);

/// <summary>What a layer of a kiln's wall is made of.</summary>
/// <param name="Name">Short name.</param>
/// <param name="DensityKgPerM3">Density.</param>
/// <param name="HeatCapacityJPerKgK">Specific heat, taken as constant.</param>
/// <param name="Conductivity">One point or more, by rising temperature; linear between them, held beyond them.</param>
public sealed record WallMaterial(
    string Name, double DensityKgPerM3, double HeatCapacityJPerKgK, IReadOnlyList<ConductivityPoint> Conductivity)
{
    /// <summary>Insulating firebrick, grade 23.</summary>
    /// <remarks>
    /// Source: insulating firebrick data sheets, density 480–580; a public kiln design text, conductivity 0.12 + 10⁻⁴ times the mean temperature
    /// (data sheets, from memory, lie a tenth to a quarter lower and hold for brick without joints). Specific heat from memory of brick data sheets.
    /// </remarks>
    public static WallMaterial Firebrick23 { get; } = new("firebrick23", 530, 1050, [new(0, 0.12), new(1500, 0.27)]);

    /// <summary>Insulating firebrick, grade 26.</summary>
    /// <remarks>Source: data sheets, density 640–1000; conductivity 0.25–0.33 from memory, the ends are put at 400 and 1000 °C.</remarks>
    public static WallMaterial Firebrick26 { get; } = new("firebrick26", 800, 1050, [new(400, 0.25), new(1000, 0.33)]);

    /// <summary>Ceramic fibre blanket.</summary>
    /// <remarks>All from memory of blanket data sheets.</remarks>
    public static WallMaterial Fibre { get; } = new("fibre", 112, 1080, [new(400, 0.10), new(600, 0.15), new(800, 0.20), new(1000, 0.27)]);

    /// <summary>The material of that name, or null.</summary>
    public static WallMaterial? Named(string name) => name switch
    {
        "firebrick23" => Firebrick23,
        "firebrick26" => Firebrick26,
        "fibre" => Fibre,
        _ => null,
    };
}

/// <summary>One layer of a kiln's wall.</summary>
/// <param name="Material">What it is made of.</param>
/// <param name="Thickness">How thick.</param>
public sealed record WallLayer(WallMaterial Material, Length Thickness);
