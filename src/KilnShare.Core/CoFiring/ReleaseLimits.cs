using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>A published limit of what ware may give off.</summary>
/// <param name="Of">Whose limit.</param>
/// <param name="Unit">The unit of both figures.</param>
/// <param name="Lead">Lead.</param>
/// <param name="Cadmium">Cadmium.</param>
public sealed record ReleaseLimit(string Of, ReleaseUnit Unit, decimal Lead, decimal Cadmium)
{
    private const decimal MostOver = 1.5m;
    private const int LeastFurther = 3;

    /// <summary>An article over it by half at the most passes with three like it that do on average.</summary>
    public bool TakesFurtherArticles { get; init; }

    /// <summary>The report stays within it.</summary>
    /// <remarks>
    /// Source: EU 84/500/EEC, article 2(5), from memory: an article that exceeds the limits by no more than 50 % is taken to keep them where at least
    /// three others of the same shape, dimensions, decoration and glaze do so on average and none of them exceeds the limits by more than 50 %.
    /// </remarks>
    public bool IsKeptBy(ReleaseReport report)
    {
        if (!(report.Lead > Lead || report.Cadmium > Cadmium)) return true;
        return TakesFurtherArticles && report.Further.Count >= LeastFurther && !(report.Lead > Lead * MostOver) && !(report.Cadmium > Cadmium * MostOver)
            && report.Further.Average(one => one.Lead) <= Lead && report.Further.Average(one => one.Cadmium) <= Cadmium
            && report.Further.All(one => one.Lead <= Lead * MostOver && one.Cadmium <= Cadmium * MostOver);
    }
}

/// <summary>Published limits of release into 4 % acetic acid in 24 hours, to set a laboratory's figures beside; they are no declaration.</summary>
public static class ReleaseLimits
{
    private const string Fda = "FDA CPG 545.400/450";

    /// <summary>The limits for a category of ware.</summary>
    /// <remarks>
    /// Source: EU 84/500/EEC; FDA compliance policy guides 545.400 (cadmium) and 545.450 (lead); for cups and mugs the guide's cadmium figure
    /// is that of small hollow ware. Units: mg/L (= µg/mL), or mg/dm² for flat ware in the EU.
    /// </remarks>
    public static IReadOnlyList<ReleaseLimit> For(FoodWareCategory category) => category switch
    {
        FoodWareCategory.Flatware => [Eu(ReleaseUnit.MgPerDm2, 0.8m, 0.07m), new(Fda, ReleaseUnit.MgPerLitre, 3.0m, 0.5m)],
        FoodWareCategory.SmallHollow => [Eu(ReleaseUnit.MgPerLitre, 4.0m, 0.3m), new(Fda, ReleaseUnit.MgPerLitre, 2.0m, 0.5m)],
        FoodWareCategory.LargeHollow => [Eu(ReleaseUnit.MgPerLitre, 4.0m, 0.3m), new(Fda, ReleaseUnit.MgPerLitre, 1.0m, 0.25m)],
        FoodWareCategory.CupOrMug => [Eu(ReleaseUnit.MgPerLitre, 4.0m, 0.3m), new(Fda, ReleaseUnit.MgPerLitre, 0.5m, 0.5m)],
        _ => [Eu(ReleaseUnit.MgPerLitre, 1.5m, 0.1m), new(Fda, ReleaseUnit.MgPerLitre, 1.0m, 0.25m)],
    };

    private static ReleaseLimit Eu(ReleaseUnit unit, decimal lead, decimal cadmium) =>
        new("EU 84/500/EEC", unit, lead, cadmium) { TakesFurtherArticles = true };
}
