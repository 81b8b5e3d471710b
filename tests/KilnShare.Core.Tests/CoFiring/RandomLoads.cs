using CsCheck;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>Loads of any sort, sensible or not.</summary>
internal static class RandomLoads
{
    private static readonly Instant Lit = Instant.FromUtc(2030, 5, 1, 8, 0);

    private static readonly Gen<ConeSeries?> GenSeries = Gen.Frequency(
        (8, Gen.Const((ConeSeries?)null)), (2, Gen.Const((ConeSeries?)ConeSeries.SelfSupporting)), (1, Gen.Const((ConeSeries?)ConeSeries.Large)));

    private static readonly Gen<ConeRange> GenRange = Gen.Select(Gen.Int[0, 37], Gen.Int[0, 6], GenSeries, (from, width, series) =>
        new ConeRange(Cone.At(from), Cone.At(Math.Min(37, from + width)), series));

    private static readonly Gen<ConeRange> GenBodyRange = Gen.Select(Gen.Int[14, 37], Gen.Int[0, 6], GenSeries, (from, width, series) =>
        new ConeRange(Cone.At(from), Cone.At(Math.Min(37, from + width)), series));

    private static readonly Gen<Atmosphere> GenAtmosphere =
        Gen.Frequency((4, Gen.Const(Atmosphere.Oxidation)), (1, Gen.Enum<Atmosphere>()));

    private static readonly Gen<IReadOnlyList<Atmosphere>?> GenAtmospheres =
        Gen.Frequency(
            (1, OneOf<IReadOnlyList<Atmosphere>?>((IReadOnlyList<Atmosphere>?)null)),
                (4, GenAtmosphere.Array[1, 3].Select(all => (IReadOnlyList<Atmosphere>?)all)));

    private static readonly Gen<Expansion?> GenExpansion = Gen.Frequency(
        (1, OneOf<Expansion?>((Expansion?)null)),
        (3, Gen.Select(Gen.Int[40, 90], OneOf<string?>("a", "a", "b", null), (tenths, method) => (Expansion?)new Expansion(tenths / 10m, method))));

    private static readonly Gen<IReadOnlyList<Ingredient>?> GenContents = Gen.Frequency(
        (1, OneOf<IReadOnlyList<Ingredient>?>((IReadOnlyList<Ingredient>?)null)),
        (4, Gen.Select(Gen.Enum<Substance>(), Gen.Int[0, 15], (what, percent) => new Ingredient(what, percent == 0 ? null : percent)).Array[0, 2]
            .Select(all => (IReadOnlyList<Ingredient>?)all)));

    private static readonly Gen<ClayBody> GenClay = Gen.Select(
        GenBodyRange, GenRange.Null(0.5), GenAtmospheres, GenExpansion, GenContents, Gen.Int[0, 20],
        (cones, bisque, atmospheres, expansion, contains, absorption) => new ClayBody($"clay {absorption}", cones)
        {
            BisqueCones = bisque,
            Atmospheres = atmospheres,
            Expansion = expansion,
            Contains = contains,
            AbsorptionPercent = absorption == 0 ? null : absorption,
        });

    private static readonly Gen<Layer> GenLayer = Gen.Select(
        Gen.Select(GenRange, Gen.Enum<GlazeKind>(), GenAtmospheres, GenExpansion, GenContents, Gen.Enum<Movement>().Nullable(0.3)),
        Gen.Int[0, 37].Nullable(0.6), OneOf<string?>(null, "inside", "outside"),
        (glaze, fired, where) => new Layer(
            new Glaze($"glaze {glaze.Item1.From}", glaze.Item1)
            {
                Kind = glaze.Item2,
                Atmospheres = glaze.Item3,
                Expansion = glaze.Item4,
                Contains = glaze.Item5,
                Movement = glaze.Item6,
            }, 2, where, fired is { } cone ? Cone.At(cone) : null));

    private static readonly Gen<ReleaseReport?> GenRelease = Gen.Frequency(
        (4, OneOf((ReleaseReport?)null)),
        (1, Gen.Select(
            Gen.Enum<FoodWareCategory>(), Gen.Enum<ReleaseUnit>(), Gen.Int[0, 9].Nullable(0.2), Gen.Int[0, 9].Nullable(0.2), (category, unit, lead, cadmium) =>
            (ReleaseReport?)new ReleaseReport(category, unit, lead / 2m, cadmium / 10m))));

    private static readonly Gen<Ware> GenWare = Gen.Select(
        Gen.Select(Gen.Frequency((9, Gen.Enum<Stage>().Where(stage => stage != Stage.Lost)), (1, Gen.Const(Stage.Lost))), GenClay, GenLayer.Array[0, 3]),
        Gen.Select(Gen.Bool, Gen.Int[0, 25].Nullable(0.3), Gen.Bool, Gen.Bool, Gen.Bool.Nullable(0.5), Gen.Bool, Gen.Bool, Gen.Enum<Lid>().Nullable(0.7)),
        Gen.Select(Gen.Enum<Dryness>().Nullable(0.2), Gen.Int[0, 200].Nullable(0.3), Gen.Int[3, 30].Nullable(0.3), Gen.Int[12, 20].Nullable(0.3), GenRelease),
        (what, how, dry) => new Ware("", what.Item1, what.Item2, what.Item3)
        {
            ForFood = how.Item1,
            BareFootMm = how.Item2,
            OnCatcher = how.Item3,
            OnStilts = how.Item4,
            SingleFire = how.Item5,
            OutsideMaterial = how.Item6,
            Tested = how.Item7,
            Lid = how.Item8,
            Dryness = dry.Item1,
            DrySince = dry.Item2 is { } hours ? Lit - Duration.FromHours(hours) : null,
            WallMm = dry.Item3,
            Release = dry.Item5,
            BisquedAt = dry.Item4 is { } bisqued ? Cone.At(bisqued) : null,
        });

    // What may be unknown of a material, and what else is said of ware, now and then.
    private static readonly Gen<Ware> GenAnyWare = Gen.Select(
        GenWare, Gen.Int[0, 9], Gen.Int[0, 9], Gen.Int[1, 6], Gen.Select(Gen.Bool, Gen.Bool, Gen.Int[0, 4], Gen.Int[0, 4]), OneOf<string?>(null, "a", "b"),
        (ware, clay, glaze, coats, how, owner) => ware with
        {
            Clay = clay == 0 ? ware.Clay with { Cones = null } : ware.Clay with { Organics = clay == 1 },
            Layers = [.. ware.Layers.Select((layer, i) => layer with { Coats = coats, Glaze = glaze == i
                ? layer.Glaze with { Cones = null } : layer.Glaze with { LeadFreeByLabel = how.Item1 ? true : null } })],
            Steep = how.Item3 == 0,
            TestTile = how.Item4 == 0,
            Owner = owner,
        });

    private static readonly Gen<FiringSchedule?> GenSchedule = Gen.Frequency(
        (3, OneOf((FiringSchedule?)null)),
        (1, Gen.Select(Gen.Int[30, 300], Gen.Int[60, 300], Gen.Int[700, 1250], Gen.Int[0, 600], (first, then, peak, hold) =>
            (FiringSchedule?)new FiringSchedule(20, [new Segment(first, 90, hold), new Segment(then, peak, 10)]))));

    private static readonly Gen<HouseRules?> GenHouse = Gen.Frequency(
        (5, OneOf((HouseRules?)null)),
        (1, OneOf<HouseRules?>(
            new HouseRules { OutsideMaterialNeedsTestAndCatcher = true },
            new HouseRules { PermittedClays = ["clay 1", "clay 2", "clay 3"], PermittedGlazes = ["glaze 6", "glaze 5", "glaze 06"] })));

    private static readonly Gen<FiringPlan> GenFiring = Gen.Select(
        Gen.Enum<FiringKind>(), Gen.Int[0, 37], GenAtmosphere, Gen.Bool, Gen.Int[0, 37].Nullable(
            0.6), GenHouse, (kind, cone, atmosphere, dated, rated, house) =>
            new FiringPlan(kind, Cone.At(cone), ConeSeries.SelfSupporting, atmosphere)
            {
                HouseRules = house,
                BisqueStart = dated && rated is null ? true : null,
                At = dated ? Lit : null,
                KilnRatedCone = rated is { } most ? Cone.At(most) : null,
            });

    private static Gen<T> OneOf<T>(params T[] values) => Gen.Int[0, values.Length - 1].Select(i => values[i]);

    public static Gen<(FiringPlan Firing, Ware[] Pieces)> Any { get; } = Gen.Select(
        GenFiring, GenAnyWare.Array[1, 6], GenSchedule, Gen.Bool, (firing, pieces, schedule, meant) =>
        (firing with { Schedule = schedule, ConeIsMeant = meant }, pieces.Select((piece, i) => piece with { Id = $"p{i}" }).ToArray()));

    public static Gen<Ware[]> Pieces(int least, int most) =>
        GenAnyWare.Array[least, most].Select(pieces => pieces.Select((piece, i) => piece with { Id = $"p{i}" }).ToArray());
}
