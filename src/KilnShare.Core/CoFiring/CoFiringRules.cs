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
        new KilnRatedCone(), new ConeNamesake(), new IronFreeCones(), new StandOnWads(), new OrganicsBurnOut(), new OverglazeSmoke(),
        new LeadBesideFoodWare(), new CadmiumBesideFoodWare(), new UnlistedBesideFoodWare(), new LustreAndDecalsAlone(), new GreenwareBesideGlaze(),
            new ChromiumAndTin(), new CopperFlashing(),
    ];

    private static readonly Dictionary<CureChange, PieceRule[]> HearingOf = new()
    {
        [CureChange.Catcher] = [
            .. OnPieces.Where(rule => rule is BareFoot or FiredLayerMeltsAgain or StageAndKind or OwnOutcomes or HouseOutsideCatcher or ConesNotKnown)],
        [CureChange.BareFoot] = [.. OnPieces.Where(rule => rule is BareFoot or FiredLayerMeltsAgain or StageAndKind)],
        [CureChange.NotForFood] = [
            .. OnPieces.Where(rule => rule is HazardOnFoodWare or AbsorptionForFood or FoodReleaseFigures or FoodReleaseNotMeasured or GlazeBodyExpansion)],
    };

    internal static readonly HashSet<string> YieldingToEvidence =
        [.. OnPieces.Where(rule => rule.YieldsToEvidence).Select(rule => rule.Name)];

    /// <summary>All of them, those on single pieces first.</summary>
    public static IReadOnlyList<CoFiringRule> All { get; } = [.. OnPieces, .. OnLoads];

    /// <summary>
    /// The rules on pieces that may say something else once the change is made to a piece: those that read what it changes, where only few do; else all.
    /// </summary>
    internal static PieceRule[] Hearing(CureChange change) => HearingOf.GetValueOrDefault(change, OnPieces);
}
