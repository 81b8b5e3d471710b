using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>A published limit of what ware may give off.</summary>
/// <param name="Of">Whose limit.</param>
/// <param name="Unit">The unit of both figures.</param>
/// <param name="Lead">Lead.</param>
/// <param name="Cadmium">Cadmium.</param>
public sealed record ReleaseLimit(string Of, ReleaseUnit Unit, decimal Lead, decimal Cadmium);

/// <summary>Published limits of release into 4 % acetic acid in 24 hours, to set a laboratory's figures beside; they are no declaration.</summary>
public static class ReleaseLimits
{
    private const string Eu = "EU 84/500/EEC";
    private const string Fda = "FDA CPG 545.400/450";

    /// <summary>The limits for a category of ware.</summary>
    /// <remarks>
    /// Source: EU 84/500/EEC; FDA compliance policy guides 545.400 (cadmium) and 545.450 (lead); for cups and mugs the guide's cadmium figure
    /// is that of small hollow ware. Units: mg/L (= µg/mL), or mg/dm² for flat ware in the EU.
    /// </remarks>
    public static IReadOnlyList<ReleaseLimit> For(FoodWareCategory category) => category switch
    {
        FoodWareCategory.Flatware => [new(Eu, ReleaseUnit.MgPerDm2, 0.8m, 0.07m), new(Fda, ReleaseUnit.MgPerLitre, 3.0m, 0.5m)],
        FoodWareCategory.SmallHollow => [new(Eu, ReleaseUnit.MgPerLitre, 4.0m, 0.3m), new(Fda, ReleaseUnit.MgPerLitre, 2.0m, 0.5m)],
        FoodWareCategory.LargeHollow => [new(Eu, ReleaseUnit.MgPerLitre, 4.0m, 0.3m), new(Fda, ReleaseUnit.MgPerLitre, 1.0m, 0.25m)],
        FoodWareCategory.CupOrMug => [new(Eu, ReleaseUnit.MgPerLitre, 4.0m, 0.3m), new(Fda, ReleaseUnit.MgPerLitre, 0.5m, 0.5m)],
        _ => [new(Eu, ReleaseUnit.MgPerLitre, 1.5m, 0.1m), new(Fda, ReleaseUnit.MgPerLitre, 1.0m, 0.25m)],
    };
}
