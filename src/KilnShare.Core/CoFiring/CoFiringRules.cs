using KilnShare.Core.CoFiring.Rules;

namespace KilnShare.Core.CoFiring;

/// <summary>Every rule there is.</summary>
public static class CoFiringRules
{
    internal static readonly PieceRule[] OnPieces =
    [
        new BodyTopCone(), new BodyBottomCone(), new BisqueRange(), new BisqueAndGlazeCone(), new GlazeTopCone(), new GlazeBottomCone(),
        new LevelOutOfRange(), new ConesNotKnown(), new ScheduleAndWall(), new LidInPlace(),
        new FiredLayerTopCone(), new FiredLayerMeltsAgain(), new ConeSeriesDiffer(), new StageAndKind(), new GreenwareDryness(), new DryingTime(),
        new BodyAtmosphere(), new GlazeAtmosphere(), new SaltOutsideSaltFiring(), new OverglazeInOtherFiring(), new HarmfulFume(), new BareFoot(),
        new Stilts(), new OwnOutcomes(), new HouseClay(), new HouseGlaze(), new HouseOutsideTest(), new HouseOutsideCatcher(), new GlazeBodyExpansion(),
        new HazardOnFoodWare(), new AbsorptionForFood(), new FoodReleaseFigures(), new FoodReleaseNotMeasured(),
    ];

    internal static readonly LoadRule[] OnLoads =
    [
        new KilnRatedCone(), new ConeNamesake(), new IronFreeCones(), new StandOnWads(), new OrganicsBurnOut(), new OverglazeSmoke(), new LeadBesideFoodWare(), new CadmiumBesideFoodWare(), new UnlistedBesideFoodWare(),
        new LustreAndDecalsAlone(), new GreenwareBesideGlaze(), new ChromiumAndTin(), new CopperFlashing(),
    ];

    internal static readonly HashSet<string> YieldingToEvidence =
        [.. OnPieces.Where(rule => rule.YieldsToEvidence).Select(rule => rule.Name)];

    /// <summary>All of them, those on single pieces first.</summary>
    public static IReadOnlyList<CoFiringRule> All { get; } = [.. OnPieces, .. OnLoads];
}
