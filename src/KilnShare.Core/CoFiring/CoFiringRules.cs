using KilnShare.Core.CoFiring.Rules;

namespace KilnShare.Core.CoFiring;

/// <summary>Every rule there is.</summary>
public static class CoFiringRules
{
    internal static readonly PieceRule[] OnPieces =
    [
        new BodyTopCone(), new BodyBottomCone(), new BisqueRange(), new GlazeTopCone(), new GlazeBottomCone(), new FiredLayerTopCone(),
        new FiredLayerMeltsAgain(), new ConeSeriesDiffer(), new StageAndKind(), new GreenwareDryness(), new DryingTime(), new BodyAtmosphere(), new GlazeAtmosphere(),
        new SaltOutsideSaltFiring(), new OverglazeInOtherFiring(), new HarmfulFume(), new GlazeBodyExpansion(), new HazardOnFoodWare(),
        new FoodReleaseNotMeasured(),
    ];

    internal static readonly LoadRule[] OnLoads =
    [
        new LeadBesideFoodWare(), new CadmiumBesideFoodWare(), new UnlistedBesideFoodWare(), new LustreAndDecalsAlone(), new GreenwareBesideGlaze(),
    ];

    /// <summary>All of them, those on single pieces first.</summary>
    public static IReadOnlyList<CoFiringRule> All { get; } = [.. OnPieces, .. OnLoads];
}
