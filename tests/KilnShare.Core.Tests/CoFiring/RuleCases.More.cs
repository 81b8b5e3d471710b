using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using NodaTime;
using static KilnShare.Core.Tests.CoFiring.Samples;

namespace KilnShare.Core.Tests.CoFiring;

internal static partial class RuleCases
{
    private static readonly ClayBody HighStoneware = Stoneware with { Name = "high stoneware", Cones = Range("5", "10") };

    private static readonly Glaze HighWhite = White with { Cones = Range("5", "10"), Atmospheres = [Atmosphere.Oxidation, Atmosphere.Reduction] };

    private static readonly HouseRules House = new()
    {
        PermittedClays = ["Grey Stoneware"],
        PermittedGlazes = ["plain white"],
        OutsideMaterialNeedsTestAndCatcher = true,
    };

    private static IEnumerable<RuleCase> More => [.. OfTwoFirings, .. OfFumes, .. OfStanding, .. OfKiln, .. OfFood, .. OfHouse, .. OfEvidence];

    private static Ware High(string id, params Ingredient[] contains) => Bisqued(id, HighStoneware, HighWhite with { Contains = contains });

    private static Ingredient Some(Substance what) => new(what);

    // Commercial low-fire ware bisqued at 04 and glazed at 06: kiln makers' published manuals. The other way round above: common practice, no source.
    private static IEnumerable<RuleCase> OfTwoFirings =>
    [
        Case("bisque-and-glaze-cone", Verdict.Caution, Touches.Self, Glaze6, Bisqued("a") with { BisquedAt = Cone.Parse("7") },
            Bisqued("a") with { BisquedAt = Cone.Parse("6") }),
        Case("bisque-and-glaze-cone", Verdict.Caution, Touches.Self, Firing(
            FiringKind.Glaze, "05"), Bisqued("a", Earthenware) with { BisquedAt = Cone.Parse("06") },
            Bisqued("a", Earthenware) with { BisquedAt = Cone.Parse("04") }),
    ];

    // Chromium beside tin: published. Copper in reduction and above about cone 8: from memory.
    private static IEnumerable<RuleCase> OfFumes =>
    [
        Case("chromium-and-tin", Verdict.Caution, Touches.Others, Glaze6,
            [Bisqued("a", glaze: Containing(Substance.Chromium)), Bisqued("b", glaze: Containing(Substance.Tin, 6m))],
            [Bisqued("a", glaze: Containing(Substance.Chromium)), Bisqued("b")]),
        Case("chromium-and-tin", Verdict.Caution, Touches.Others, Glaze6,
            [Bisqued("a", Stoneware with { Contains = [Some(Substance.Chromium)] }), Bisqued("b", glaze: Containing(Substance.Tin))],
            [Bisqued("a") with { Layers = [Raw(White with { Contains = [Some(Substance.Chromium), Some(Substance.Tin)] })] }, Bisqued("b")]),
        Case("chromium-and-tin", Verdict.Unknown, Touches.Others, Glaze6,
            [Bisqued("a", glaze: White with { Contains = null }), Bisqued("b", glaze: Containing(Substance.Tin, 6m))],
            [Bisqued("a", glaze: White with { Contains = null }), Bisqued("b")]),
        new("chromium-and-tin", Verdict.Caution, Touches.Others, Glaze6, FiredChromiumBesideTin, (Firing(FiringKind.Glaze, "4"), FiredChromiumBesideTin)),
        new("copper-flashing", Verdict.Caution, Touches.Others, Firing(
            FiringKind.Glaze, "6", Atmosphere.Reduction), [High("a", Some(Substance.Copper)), High("b")],
            (Glaze6, [High("a", Some(Substance.Copper)), High("b")])),
        new("copper-flashing", Verdict.Caution, Touches.Others, Firing(FiringKind.Glaze, "9"), [High("a", Some(Substance.Copper)), High("b")],
            (Firing(FiringKind.Glaze, "8"), [High("a", Some(Substance.Copper)), High("b")])),
        Case("copper-flashing", Verdict.Caution, Touches.Others, Firing(FiringKind.Glaze, "10"), [High("a", Some(Substance.Copper)), High("b")],
            [High("a", Some(Substance.Copper)), High("b", Some(Substance.Copper))]),
    ];

    // Bare foot 2 to 3, 6 and 20 mm, catchers: kiln makers' published manuals and common practice. Stilts: kiln makers' published manuals.
    private static IEnumerable<RuleCase> OfStanding =>
    [
        Case("bare-foot", Verdict.Incompatible, Touches.Kiln, Glaze6, Foot(Movement.Stable, 0m), Foot(Movement.Stable, 2m)),
        Case("bare-foot", Verdict.Caution, Touches.Kiln, Glaze6, Foot(Movement.Stable, 1.9m), Foot(Movement.Stable, null)),
        Case("bare-foot", Verdict.Caution, Touches.Kiln, Glaze6, Foot(Movement.Moves, 5m), Foot(Movement.Moves, 6m)),
        Case("bare-foot", Verdict.Caution, Touches.Kiln, Glaze6, Foot(Movement.Moves, null), Foot(Movement.Moves, null) with { OnCatcher = true }),
        Case("bare-foot", Verdict.Incompatible, Touches.Kiln, Glaze6, Foot(Movement.Runs, 5m), Foot(Movement.Runs, 5m) with { OnCatcher = true }),
        Case("bare-foot", Verdict.Caution, Touches.Kiln, Glaze6, Foot(Movement.Runs, 19m), Foot(Movement.Runs, 20m)),
        Case("bare-foot", Verdict.Unknown, Touches.Kiln, Glaze6, Foot(null, 6m), Foot(null, 20m)),
        Case("bare-foot", Verdict.Unknown, Touches.Kiln, Glaze6, Foot(null, null),
            Foot(null, null) with { Layers = [Raw(White with { Movement = null }) with { Where = "inside" }] }),
        // Half as much again for thick coats, for a second glaze and for steep walls: common practice, no source.
        Case("bare-foot", Verdict.Caution, Touches.Kiln, Glaze6, Thick(8.9m), Thick(9m)),
        Case("bare-foot", Verdict.Caution, Touches.Kiln, Glaze6, Foot(
            Movement.Moves, 8.9m) with { Steep = true }, Foot(Movement.Moves, 9m) with { Steep = true }),
        Case("bare-foot", Verdict.Incompatible, Touches.Kiln, Glaze6, Foot(
            Movement.Runs, 8.9m) with { Steep = true }, Foot(Movement.Runs, 8.9m) with { OnCatcher = true, Steep = true }),
        Case("bare-foot", Verdict.Caution, Touches.Kiln, Glaze6, Overlapping(2.9m), Overlapping(3m)),
        Case("bare-foot", Verdict.Unknown, Touches.Kiln, Firing(
            FiringKind.Glaze, "5"), Foot(null, 6m) with { OnStilts = true }, Foot(Movement.Moves, 5m) with { OnStilts = true }),
        Case("ware-on-stilts", Verdict.Caution, Touches.Kiln, Glaze6, Bisqued("a") with { OnStilts = true }, Bisqued("a")),
        Case("ware-on-stilts", Verdict.Caution, Touches.Kiln, Firing(
            FiringKind.Glaze, "03"), Firing(FiringKind.Glaze, "04"), Bisqued("a") with { OnStilts = true }),
        Case("ware-on-stilts", Verdict.Incompatible, Touches.Kiln, Firing(FiringKind.Glaze, "7"), High("a") with { OnStilts = true }, High("a")),
    ];

    // The rated cone: kiln makers' published manuals. Iron-free cones 010 to 3: published cone table; their use in reduction from memory.
    private static IEnumerable<RuleCase> OfKiln =>
    [
        Case("kiln-rated-cone", Verdict.Incompatible, Touches.Kiln, Glaze6 with { KilnRatedCone = Cone.Parse("5") },
            Glaze6 with { KilnRatedCone = Cone.Parse("6") },
            Bisqued("a")),
        Case("iron-free-cones", Verdict.Caution, Touches.Kiln, Firing(FiringKind.Glaze, "04", Atmosphere.Reduction),
            Firing(FiringKind.Glaze, "04", Atmosphere.Reduction) with { Series = ConeSeries.SelfSupportingIronFree }, Bisqued("a", Earthenware)),
        Case("iron-free-cones", Verdict.Caution, Touches.Kiln, Firing(
            FiringKind.Glaze, "3", Atmosphere.Reduction), Firing(FiringKind.Glaze, "4", Atmosphere.Reduction),
            Bisqued("a")),
    ];

    // Absorption classes: ANSI A137.1. Release limits: EU 84/500/EEC and FDA CPG 545.400/450.
    private static IEnumerable<RuleCase> OfFood =>
    [
        Case("absorption-for-food", Verdict.Caution, Touches.Use, Glaze6, Absorbing(3.1m), Absorbing(3.0m)),
        Case("absorption-for-food", Verdict.Unknown, Touches.Use, Glaze6, Absorbing(null), Absorbing(0.5m)),
        Case("absorption-for-food", Verdict.Unknown, Touches.Use, Firing(FiringKind.Glaze, "4"), Glaze6, Absorbing(2m)),
        Case("food-release-figures", Verdict.Incompatible, Touches.Use, Glaze6,
            Bisqued("a").ForFood() with { Release = new ReleaseReport(FoodWareCategory.CupOrMug, ReleaseUnit.MgPerLitre, 0.51m, 0m) }, Bisqued("a").ForFood()),
        Case("hazard-on-food-ware", Verdict.Incompatible, Touches.Use, Glaze6, MeasuredBarium([]), MeasuredBarium([Substance.Barium])),
    ];

    private static IEnumerable<RuleCase> OfHouse =>
    [
        Case("house-clay", Verdict.Incompatible, Touches.Kiln, Glaze6 with { HouseRules = House }, Bisqued("a", HighStoneware), Bisqued("a")),
        Case("house-glaze", Verdict.Incompatible, Touches.Kiln, Glaze6 with { HouseRules = House }, Bisqued(
            "a", glaze: Containing(Substance.Tin)), Bisqued("a")),
        Case("house-outside-test", Verdict.Incompatible, Touches.Kiln, Glaze6 with { HouseRules = House },
            Bisqued("a", HighStoneware) with { OutsideMaterial = true }, Bisqued("a", HighStoneware) with { OutsideMaterial = true, Tested = true }),
        Case("house-outside-catcher", Verdict.Incompatible, Touches.Kiln, Glaze6 with { HouseRules = House },
            Bisqued("a", HighStoneware) with { OutsideMaterial = true }, Bisqued("a", HighStoneware) with { OutsideMaterial = true, OnCatcher = true }),
    ];

    private static IEnumerable<RuleCase> OfEvidence =>
    [
        Case("own-outcomes", Verdict.Incompatible, Touches.Kiln, Glaze6, Bisqued("a"), Bisqued("a") with { OnCatcher = true }) with
        {
            Evidence = [Outcomes((1, 3, 0, 1), (2, 2, 0, 2))],
        },
        Case("own-outcomes", Verdict.Caution, Touches.Self, Glaze6, Firing(FiringKind.Glaze, "5"), Bisqued("a")) with
        {
            Evidence = [Outcomes((1, 3, 1, 0), (2, 2, 2, 0))],
        },
    ];

    /// <summary>Outcomes of two coats of the sample white on the sample stoneware at cone 6: day of May, sound, spoilt, stuck.</summary>
    public static Evidence Outcomes(params (int Day, int Sound, int Spoilt, int Stuck)[] firings) => new(
        "Grey stoneware", "Plain white", 2, Cone.Parse("6"), Atmosphere.Oxidation,
        [.. firings.Select(one => new EvidenceFiring(new LocalDate(2030, 5, one.Day), one.Sound, one.Spoilt, one.Stuck))]);

    // A fired layer is at work again from the bottom of its range on, here cone 5.
    private static Ware[] FiredChromiumBesideTin =>
        [Glazed("a") with { Layers = [Fired(Containing(Substance.Chromium), "6")] }, Bisqued(
            "b", glaze: Containing(Substance.Tin) with { Cones = Range("4", "6") })];

    private static Ware Foot(Movement? movement, decimal? mm) => Bisqued("a", glaze: White with { Movement = movement }) with { BareFootMm = mm };

    private static Ware Thick(decimal mm) => Foot(Movement.Moves, mm) with { Layers = [Raw(White with { Movement = Movement.Moves }) with { Coats = 5 }] };

    private static Ware Overlapping(decimal mm) => Foot(Movement.Stable, mm) with { Layers = [Raw(White), Raw(White with { Name = "second white" })] };

    private static Ware Absorbing(decimal? percent) => Bisqued("a", Stoneware with { AbsorptionPercent = percent }).ForFood();

    private static Ware MeasuredBarium(Substance[] also) => Bisqued("a", glaze: Containing(Substance.Barium)).ForFood() with
    {
        Release = new ReleaseReport(FoodWareCategory.CupOrMug, ReleaseUnit.MgPerLitre, 0m, 0m) { AlsoMeasured = also },
    };
}
