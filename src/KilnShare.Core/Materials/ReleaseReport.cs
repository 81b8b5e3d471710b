using NodaTime;

namespace KilnShare.Core.Materials;

/// <summary>What sort of food ware a limit is for.</summary>
public enum FoodWareCategory
{
    /// <summary>Flat: no deeper than 25 mm inside.</summary>
    Flatware,

    /// <summary>Small hollow: deeper than 25 mm, under 1.1 litres.</summary>
    SmallHollow,

    /// <summary>Large hollow: deeper than 25 mm, from 1.1 to 3 litres.</summary>
    LargeHollow,

    /// <summary>Cups and mugs.</summary>
    CupOrMug,

    /// <summary>Cooking ware, and vessels over three litres.</summary>
    CookingOrStorage,
}

/// <summary>The unit a release figure is in.</summary>
public enum ReleaseUnit
{
    /// <summary>Milligrams a litre of solution (= micrograms a millilitre).</summary>
    MgPerLitre,

    /// <summary>Milligrams a square decimetre of surface.</summary>
    MgPerDm2,
}

/// <summary>What one article gave off.</summary>
/// <param name="Lead">Lead, in the report's unit.</param>
/// <param name="Cadmium">Cadmium, in the report's unit.</param>
public sealed record ReleaseFigures(decimal Lead, decimal Cadmium);

/// <summary>What a laboratory measured: release into 4 % acetic acid in 24 hours.</summary>
/// <param name="Category">The sort of ware measured.</param>
/// <param name="Unit">The unit of both figures.</param>
/// <param name="Lead">Lead; null where it was not measured.</param>
/// <param name="Cadmium">Cadmium; null where it was not measured.</param>
public sealed record ReleaseReport(FoodWareCategory Category, ReleaseUnit Unit, decimal? Lead, decimal? Cadmium)
{
    /// <summary>Substances besides lead and cadmium whose release was measured and found acceptable by whoever ordered it.</summary>
    public IReadOnlyList<Substance> AlsoMeasured { get; init; } = [];

    /// <summary>What further articles of the same shape, size, decoration and glaze gave off, measured alike.</summary>
    public IReadOnlyList<ReleaseFigures> Further { get; init; } = [];

    /// <summary>The laboratory's name or number of the report.</summary>
    public string? Reference { get; init; }

    /// <summary>When it was measured.</summary>
    public LocalDate? On { get; init; }
}
