using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using NodaTime;
using static KilnShare.Core.Tests.CoFiring.Samples;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>For every rule at least one fault, planted in ware that is otherwise sound.</summary>
internal static partial class RuleCases
{
    private static readonly Instant Lit = Instant.FromUtc(2030, 5, 1, 8, 0);

    private static readonly ClayBody Earthenware = Stoneware with { Name = "red earthenware", Cones = Range("06", "04") };

    public static IEnumerable<RuleCase> All => [.. OfCones, .. OfStage, .. OfAtmosphere, .. OfNeighbours, .. OfSelfAndUse, .. More];

    private static RuleCase Case(string rule, Verdict verdict, Touches touches, FiringPlan firing, Ware faulty, Ware sound) =>
        new(rule, verdict, touches, firing, [faulty], (firing, [sound]));

    private static RuleCase Case(string rule, Verdict verdict, Touches touches, FiringPlan firing, Ware[] faulty, Ware[] sound) =>
        new(rule, verdict, touches, firing, faulty, (firing, sound));

    private static RuleCase Case(string rule, Verdict verdict, Touches touches, FiringPlan faulty, FiringPlan sound, Ware ware) =>
        new(rule, verdict, touches, faulty, [ware], (sound, [ware]));

    private static WitnessHabit Level(string name, double differenceC, double uncertaintyC) => new(name, differenceC, uncertaintyC, 5, 0, name);

    private static Ware DryingFor(int hours, Dryness? dryness) => Greenware("a") with { Dryness = dryness, DrySince = Lit - Duration.FromHours(hours) };

    private static Ware Low(Movement? movement) => Bisqued("a", Stoneware with { Cones = Range("5", "9") }, White with { Movement = movement });

    // Kiln makers' published manuals and kiln-care pages; the verdicts by movement are common practice, no source.
    private static IEnumerable<RuleCase> OfCones =>
    [
        Case("body-top-cone", Verdict.Incompatible, Touches.Kiln, Glaze6, Bisqued("a", Earthenware), Bisqued("a")),
        Case("body-top-cone", Verdict.Caution, Touches.Kiln, Firing(FiringKind.Bisque, "03"), Greenware("a", Earthenware), Greenware("a")),
        Case("body-top-cone", Verdict.Incompatible, Touches.Kiln, Firing(FiringKind.Bisque, "02"), Greenware("a", Earthenware), Greenware("a")),
        Case("body-top-cone", Verdict.Incompatible, Touches.Kiln, Glaze6, Bisqued("a", Stoneware with { Cones = Range("4", "4") }), Bisqued("a")),
        // Half a cone over is not more than one.
        Case("body-top-cone", Verdict.Caution, Touches.Kiln, Glaze6, Bisqued("a", Stoneware with { Cones = Range("5", "5.5") }), Bisqued("a")),
        Case("body-top-cone", Verdict.Caution, Touches.Kiln, Firing(FiringKind.Overglaze, "016"),
            Glazed("a", Raw(Enamel)) with { Clay = Stoneware with { Cones = Range("020", "017") } }, Glazed("a", Raw(Enamel))),
        Case("body-bottom-cone", Verdict.Caution, Touches.Self, Firing(FiringKind.Glaze, "4"), Firing(FiringKind.Glaze, "5"), Bisqued("a")),
        Case("body-bottom-cone", Verdict.Caution, Touches.Self, Firing(FiringKind.SingleFire, "4"), Bisque06, Greenware("a")),
        Case("bisque-range", Verdict.Caution, Touches.Self, Firing(FiringKind.Bisque, "09"), Bisque06, Greenware("a")),
        Case("bisque-range", Verdict.Caution, Touches.Self, Firing(FiringKind.Bisque, "03"), Bisque06, Greenware("a")),
        Case("bisque-range", Verdict.Caution, Touches.Self, Firing(FiringKind.Bisque, "011"), Bisque06,
            Greenware("a", Stoneware with { BisqueCones = null })),
        // The cone maker's table (2016) at 60 °C/h: cone 5½ 1203, 6 1222, 7 1239 °C.
        Case("level-out-of-range", Verdict.Caution, Touches.Kiln, Glaze6 with { Levels = [Level("top", 20, 3)] },
            Glaze6 with { Levels = [Level("top", 20, 4)] }, Bisqued("a")),
        Case("level-out-of-range", Verdict.Caution, Touches.Self, Firing(FiringKind.Glaze, "5") with { Levels = [Level("bottom", -12, 2)] }, Firing(
            FiringKind.Glaze, "5") with { Levels = [Level("bottom", -6, 2)] }, Bisqued("a")),
        Case("glaze-top-cone", Verdict.Incompatible, Touches.Kiln, Firing(FiringKind.Glaze, "7"), Glaze6, Low(Movement.Runs)),
        Case("glaze-top-cone", Verdict.Incompatible, Touches.Kiln, Firing(FiringKind.Glaze, "7"), Glaze6, Low(Movement.Moves)),
        Case("glaze-top-cone", Verdict.Unknown, Touches.Kiln, Firing(FiringKind.Glaze, "7"), Glaze6, Low(null)),
        Case("glaze-top-cone", Verdict.Caution, Touches.Kiln, Firing(FiringKind.Glaze, "7"), Glaze6, Low(Movement.Stable)),
        Case("glaze-top-cone", Verdict.Caution, Touches.Kiln, Firing(FiringKind.Glaze, "8"), Glaze6, Low(Movement.Stable)),
        Case("glaze-top-cone", Verdict.Incompatible, Touches.Others, Firing(FiringKind.Glaze, "9"), Glaze6, Low(Movement.Stable)),
        Case("glaze-top-cone", Verdict.Unknown, Touches.Self, Firing(FiringKind.Glaze, "9"), Glaze6, Coloured(Movement.Stable)),
        Case("glaze-top-cone", Verdict.Incompatible, Touches.Others, Firing(FiringKind.Glaze, "9"), Glaze6, Coloured(Movement.Runs)),
        Case("glaze-bottom-cone", Verdict.Caution, Touches.Self, Firing(FiringKind.Glaze, "4"), Glaze6, Bisqued("a")),
        Case("fired-layer-top-cone", Verdict.Incompatible, Touches.Kiln, Firing(FiringKind.Glaze, "7"), Glaze6,
            Glazed("a") with { Layers = [Fired(White with { Movement = Movement.Runs }, "6")] }),
        Case("fired-layer-melts-again", Verdict.Caution, Touches.Self, Glaze6, Firing(FiringKind.Glaze, "4"), Glazed("a")),
        // The cone maker's table (2016): large and self-supporting cones 5 to 7 lie within 3 °C of each other at 60 and 150 °C/h.
        Case("cone-series-differ", Verdict.Compatible, Touches.Kiln, Glaze6, Bisqued("a", Stoneware with { Cones = Range("5", "7", ConeSeries.Large) }),
            Bisqued("a", Stoneware with { Cones = Range("5", "7", ConeSeries.SelfSupporting) })),
        Case("cone-series-differ", Verdict.Unknown, Touches.Kiln, Glaze6, Bisqued("a", Stoneware with { Cones = Range("5", "7", ConeSeries.Small) }),
            Bisqued("a", Stoneware with { Cones = Range("5", "7", ConeSeries.SelfSupporting) })),
        Case("cones-not-known", Verdict.Incompatible, Touches.Kiln, Glaze6, Bisqued("a", Stoneware with { Cones = null }), Bisqued("a")),
        Case("cones-not-known", Verdict.Unknown, Touches.Kiln, Glaze6, Bisqued(
            "a", glaze: White with { Cones = null }) with { OnCatcher = true }, Bisqued("a")),
        Case("cones-not-known", Verdict.Unknown, Touches.Kiln, Glaze6, Bisqued("a", glaze: White with { Cones = null }) with { TestTile = true }, Bisqued("a")),
        // The cone maker's table (2016) at 60 °C/h: cone 06 is 998 °C, cone 6 is 1222 °C; 06 taken for 6 is the classic accident.
        Case("cone-namesake", Verdict.Unknown, Touches.Kiln, Firing(FiringKind.Glaze, "06"), Glaze6, Bisqued("a")),
        Case("cone-namesake", Verdict.Unknown, Touches.Kiln, Firing(FiringKind.Bisque, "6"), Bisque06, Greenware("a")),
        Case("cone-namesake", Verdict.Unknown, Touches.Kiln, Glaze6 with { Schedule = To(998) }, Glaze6 with { Schedule = To(1222) }, Bisqued("a")),
        Case("cone-namesake", Verdict.Unknown, Touches.Kiln, Firing(
            FiringKind.UnderglazeSet, "6"), Firing(FiringKind.UnderglazeSet, "6") with { ConeIsMeant = true },
            Bisqued("a", glaze: White with { Kind = GlazeKind.Underglaze, Cones = Range("06", "6") })),
        Case("cone-namesake", Verdict.Unknown, Touches.Kiln, Glaze6 with { EarlierCones = [Cone.Parse("06"), Cone.Parse("06"), Cone.Parse("06")] },
            Glaze6 with { EarlierCones = [Cone.Parse("06"), Cone.Parse("06"), Cone.Parse("6")] }, Bisqued("a")),
        Case("cone-series-differ", Verdict.Unknown, Touches.Kiln, Glaze6, Bisqued("a", glaze: White with { Cones = Range("5", "6", ConeSeries.Small) }),
            Bisqued("a")),
    ];

    private static Ware Coloured(Movement? movement) => Low(movement) with
    {
        Layers = [Raw(White with { Kind = GlazeKind.Underglaze, Movement = movement }), Raw(HighWhite)],
    };

    private static FiringSchedule To(double peakC, double rateCPerHour = 60) => new(20, [new Segment(rateCPerHour, peakC, 0)]);

    // Ceramic society firing chart (2005): free water to steam at 100 °C, combined water at 450 to 700 °C. Drying times: common practice, no source.
    private static IEnumerable<RuleCase> OfStage =>
    [
        Case("stage-and-kind", Verdict.Incompatible, Touches.Kiln, Glaze6, Bisqued("a") with { Stage = Stage.Lost }, Bisqued("a")),
        Case("stage-and-kind", Verdict.Incompatible, Touches.Others, Glaze6, Bisque06, Greenware("a")),
        Case("stage-and-kind", Verdict.Incompatible, Touches.Others, Firing(FiringKind.UnderglazeSet, "06"), Bisque06, Greenware("a")),
        Case("stage-and-kind", Verdict.Incompatible, Touches.Others, Glaze6, Glaze6 with { BisqueStart = true }, Greenware("a") with { SingleFire = true }),
        Case("stage-and-kind", Verdict.Incompatible, Touches.Self, Overglaze018 with { BisqueStart = true }, Bisque06, Greenware("a")),
        Case("stage-and-kind", Verdict.Incompatible, Touches.Others, Firing(FiringKind.SingleFire, "6"),
            Greenware("a") with { SingleFire = false }, Greenware("a") with { SingleFire = true }),
        Case("stage-and-kind", Verdict.Caution, Touches.Self, Firing(FiringKind.SingleFire, "6"), Greenware("a"), Greenware("a") with { SingleFire = true }),
        Case("stage-and-kind", Verdict.Caution, Touches.Others, Bisque06, Greenware("a") with { Layers = [Raw(White)] }, Greenware("a")),
        Case("stage-and-kind", Verdict.Caution, Touches.Self, Bisque06, Bisqued("a") with { Layers = [] }, Bisqued("a")),
        Case("stage-and-kind", Verdict.Caution, Touches.Self, Overglaze018, Bisqued("a") with { Layers = [Raw(Lustre)] }, Glazed("a", Raw(Lustre))),
        Case("stage-and-kind", Verdict.Caution, Touches.Self, Overglaze018, Glazed("a"), Glazed("a", Raw(Lustre))),
        Case("stage-and-kind", Verdict.Caution, Touches.Self, Glaze6, Glazed("a"), Bisqued("a")),
        Case("greenware-dryness", Verdict.Incompatible, Touches.Others, Bisque06, Greenware("a") with { Dryness = Dryness.Wet }, Greenware("a")),
        Case("greenware-dryness", Verdict.Incompatible, Touches.Others, Bisque06, Greenware("a") with { Dryness = Dryness.LeatherHard }, Greenware("a")),
        Case("greenware-dryness", Verdict.Unknown, Touches.Others, Bisque06, Greenware("a") with { Dryness = null }, Greenware("a")),
        Case("greenware-dryness", Verdict.Unknown, Touches.Others, Bisque06 with { At = Lit }, DryingFor(47, null), DryingFor(48, null)),
        Case("greenware-dryness", Verdict.Caution, Touches.Others, Bisque06 with { At = Lit }, DryingFor(48, Dryness.LeatherHard), DryingFor(48, Dryness.Dry)),
        Case("greenware-dryness", Verdict.Incompatible, Touches.Others, Bisque06 with { At = Lit }, DryingFor(47, Dryness.LeatherHard), DryingFor(48, null)),
        Case("drying-time", Verdict.Caution, Touches.Others, Bisque06 with { At = Lit },
            Greenware("a") with { DrySince = Lit - Duration.FromHours(47) }, Greenware("a") with { DrySince = Lit - Duration.FromHours(48) }),
        Case("drying-time", Verdict.Caution, Touches.Others, Bisque06 with { At = Lit },
            Greenware("a") with { DrySince = Lit - Duration.FromHours(71), WallMm = 9m }, Greenware(
                "a") with { DrySince = Lit - Duration.FromHours(72), WallMm = 9m }),
        // Rates by wall: university ceramics teaching notes (100 °C/h for thin ware) and common practice; drying holds of 2 to 12 h: kiln makers' manuals.
        Case("schedule-and-wall", Verdict.Caution, Touches.Others, Bisque06 with { Schedule = To(998, 300) }, Bisque06 with { Schedule = To(998, 20) },
            Greenware("a") with { WallMm = 40m }),
        Case("schedule-and-wall", Verdict.Caution, Touches.Others, Bisque06 with { Schedule = To(998, 101) }, Bisque06 with { Schedule = To(998, 100) },
            Greenware("a") with { WallMm = 10m }),
        Case("schedule-and-wall", Verdict.Unknown, Touches.Others, Bisque06, Greenware("a") with { WallMm = 12.1m }, Greenware("a") with { WallMm = 12m }),
        Case("lid-in-place", Verdict.Caution, Touches.Self, Glaze6, Bisqued("a") with { Lid = Lid.InPlace }, Bisqued("a") with { Lid = Lid.Apart }),
        Case("organics-burn-out", Verdict.Caution, Touches.Kiln, Bisque06, Greenware("a", Stoneware with { Organics = true }), Greenware("a")),
        Case("greenware-beside-glazed-ware", Verdict.Caution, Touches.Others, Firing(FiringKind.SingleFire, "6"),
            [Greenware("a") with { SingleFire = true }, Bisqued("b")], [Greenware("a") with { SingleFire = true }, Greenware("b") with { SingleFire = true }]),
    ];

    // One atmosphere a firing, salt and soda only with their own kind: common practice, no source.
    private static IEnumerable<RuleCase> OfAtmosphere =>
    [
        Case("body-atmosphere", Verdict.Incompatible, Touches.Kiln, Firing(FiringKind.Glaze, "6", Atmosphere.SaltSoda), Glaze6, Bisqued("a")),
        Case("body-atmosphere", Verdict.Incompatible, Touches.Kiln, Firing(FiringKind.Bisque, "06", Atmosphere.Wood), Bisque06, Greenware("a")),
        Case("body-atmosphere", Verdict.Unknown, Touches.Kiln, Firing(FiringKind.Glaze, "6", Atmosphere.Reduction), Bisqued(
            "a", Stoneware with { Atmospheres = null }), Bisqued("a", Stoneware with { Atmospheres = [Atmosphere.Reduction] })),
        Case("glaze-atmosphere", Verdict.Caution, Touches.Self, Glaze6, Bisqued("a", glaze: White with { Atmospheres = [Atmosphere.Reduction] }), Bisqued("a")),
        Case("stand-on-wads", Verdict.Caution, Touches.Kiln, Firing(
            FiringKind.Glaze, "6", Atmosphere.Wood), Glaze6, Bisqued("a", Stoneware with { Atmospheres = [Atmosphere.Oxidation, Atmosphere.Wood] })),
        Case("glaze-atmosphere", Verdict.Unknown, Touches.Self, Glaze6, Bisqued("a", glaze: White with { Atmospheres = null }), Bisqued("a")),
        Case("salt-outside-salt-firing", Verdict.Incompatible, Touches.Kiln, Glaze6, Firing(FiringKind.Glaze, "6", Atmosphere.SaltSoda),
            Bisqued("a", glaze: Containing(Substance.Salt))),
    ];

    // Lead, lustre and decals: kiln makers' published manuals. Cadmium: from memory.
    private static IEnumerable<RuleCase> OfNeighbours =>
    [
        Case("lead-beside-food-ware", Verdict.Incompatible, Touches.Others, Glaze6,
            [Bisqued("a", glaze: Containing(Substance.Lead)), Bisqued("b").ForFood()], [Bisqued("a", glaze: Containing(Substance.Lead)), Bisqued("b")]),
        Case("lead-beside-food-ware", Verdict.Incompatible, Touches.Others, Overglaze018,
            [Glazed("a", Raw(Enamel)) with { Layers = [Fired(Containing(Substance.Lead), "6"), Raw(Enamel)] }, Glazed("b", Raw(Enamel)).ForFood()],
            [Glazed("a", Raw(Enamel)), Glazed("b", Raw(Enamel)).ForFood()]),
        Case("cadmium-beside-food-ware", Verdict.Unknown, Touches.Others, Glaze6,
            [Bisqued("a", glaze: Containing(Substance.Cadmium)), Bisqued("b").ForFood()], [Bisqued("a"), Bisqued("b").ForFood()]),
        Case("unlisted-glaze-beside-food-ware", Verdict.Unknown, Touches.Others, Glaze6,
            [Bisqued("a", glaze: White with { Contains = null }), Bisqued("b").ForFood()], [Bisqued("a"), Bisqued("b").ForFood()]),
        Case("overglaze-in-other-firing", Verdict.Incompatible, Touches.Others, Glaze6, Glazed("a", Raw(Lustre)), Glazed("a")),
        Case("lustre-and-decals-alone", Verdict.Incompatible, Touches.Others, Overglaze018,
            [Glazed("a", Raw(Lustre)), Glazed("b")], [Glazed("a", Raw(Lustre)), Glazed("b", Raw(Lustre with { Kind = GlazeKind.Decal }))]),
        Case("lustre-and-decals-alone", Verdict.Caution, Touches.Others, Overglaze018,
            [Glazed("a", Raw(Lustre)), Glazed("b", Raw(Enamel))], [Glazed("a", Raw(Enamel)), Glazed("b", Raw(Enamel))]),
        Case("overglaze-smoke", Verdict.Caution, Touches.Kiln, Overglaze018, Glazed(
            "a", Raw(Lustre)), Glazed("a", Raw(Enamel with { Cones = Range("018", "016") }))),
        Case("harmful-fume", Verdict.Caution, Touches.Kiln, Glaze6,
            Bisqued("a", glaze: Containing(Substance.Manganese, 5.1m)), Bisqued("a", glaze: Containing(Substance.Manganese, 5m))),
        Case("harmful-fume", Verdict.Caution, Touches.Kiln, Glaze6, Bisqued("a", glaze: Containing(Substance.Manganese)), Bisqued("a")),
        Case("harmful-fume", Verdict.Caution, Touches.Kiln, Glaze6, Bisqued("a", glaze: Containing(Substance.Vanadium, 1m)), Bisqued("a")),
    ];

    // Expansion limits: from memory and common practice. Hazards under food: FDA CPG 545.400/450 and EU 84/500/EEC for lead and cadmium, else from memory.
    private static IEnumerable<RuleCase> OfSelfAndUse =>
    [
        Case("glaze-body-expansion", Verdict.Caution, Touches.Self, Glaze6, Fit(6.1m), Fit(6.2m)),
        Case("glaze-body-expansion", Verdict.Caution, Touches.Self, Glaze6, Fit(7.8m), Fit(7.7m)),
        Case("glaze-body-expansion", Verdict.Caution, Touches.Others, Glaze6, Fit(7.8m).ForFood(), Fit(7.7m).ForFood()),
        Case("glaze-body-expansion", Verdict.Unknown, Touches.Self, Glaze6,
            Bisqued("a", Stoneware with { Expansion = new Expansion(6.9m, "computed") }), Bisqued("a")),
        Case("glaze-body-expansion", Verdict.Unknown, Touches.Self, Glaze6, Bisqued("a", Stoneware with { Expansion = null }), Bisqued("a")),
        Case("food-release-not-measured", Verdict.Unknown, Touches.Use, Glaze6, Bisqued("a").ForFood(), Bisqued("a")),
        Case("hazard-on-food-ware", Verdict.Incompatible, Touches.Use, Glaze6,
            Bisqued("a", glaze: Containing(Substance.Barium)).ForFood(),
            Bisqued("a").ForFood() with { Layers = [Raw(Containing(Substance.Barium)) with { Where = "outside" }] }),
        Case("hazard-on-food-ware", Verdict.Incompatible, Touches.Use, Glaze6,
            Bisqued("a").ForFood() with { Layers = [Raw(Containing(Substance.Lead)) with { Where = "outside" }] }, Bisqued(
                "a", glaze: Containing(Substance.Lead))),
        Case("hazard-on-food-ware", Verdict.Incompatible, Touches.Use, Glaze6,
            Bisqued("a", glaze: Containing(Substance.Manganese, 8m)).ForFood(), Bisqued("a", glaze: Containing(Substance.Manganese, 2m)).ForFood()),
    ];

    private static Ware Fit(decimal bodyPpmPerC) => Bisqued("a", Stoneware with { Expansion = new Expansion(bodyPpmPerC, Dilatometer) });
}
