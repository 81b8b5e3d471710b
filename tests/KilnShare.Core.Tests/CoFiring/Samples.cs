using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>Ware about which everything is known and nothing is to be said, to be changed in one respect by a test.</summary>
internal static class Samples
{
    public const string Dilatometer = "dilatometer 20-500 C";

    public static ConeRange Range(string from, string to, ConeSeries? series = null) => new(Cone.Parse(from), Cone.Parse(to), series);

    public static ClayBody Stoneware { get; } = new("grey stoneware", Range("5", "7"))
    {
        BisqueCones = Range("08", "04"),
        Atmospheres = [Atmosphere.Oxidation, Atmosphere.Neutral, Atmosphere.Reduction],
        Expansion = new Expansion(6.9m, Dilatometer),
        AbsorptionPercent = 2.0m,
        Contains = [],
    };

    public static Glaze White { get; } = new("plain white", Range("5", "6"))
    {
        Atmospheres = [Atmosphere.Oxidation, Atmosphere.Neutral],
        Expansion = new Expansion(6.2m, Dilatometer),
        Contains = [],
        Movement = Movement.Stable,
    };

    public static Glaze Lustre { get; } = new("gold lustre", Range("019", "016"))
    {
        Kind = GlazeKind.Lustre,
        Atmospheres = [Atmosphere.Oxidation],
        Contains = [],
        Movement = Movement.Stable,
    };

    public static Glaze Enamel { get; } = Lustre with { Name = "red enamel", Kind = GlazeKind.Enamel, Cones = Range("017", "016") };

    public static FiringPlan Glaze6 { get; } = Firing(FiringKind.Glaze, "6");

    public static FiringPlan Bisque06 { get; } = Firing(FiringKind.Bisque, "06");

    public static FiringPlan Overglaze018 { get; } = Firing(FiringKind.Overglaze, "018");

    public static FiringPlan Firing(FiringKind kind, string cone, Atmosphere atmosphere = Atmosphere.Oxidation) =>
        new(kind, Cone.Parse(cone), ConeSeries.SelfSupporting, atmosphere);

    public static Ware Bisqued(string id, ClayBody? clay = null, Glaze? glaze = null) => new(id, Stage.Bisque, clay ?? Stoneware, [Raw(glaze ?? White)])
    {
        BisquedAt = Cone.Parse("06"),
        BareFootMm = 6m,
    };

    public static Ware Greenware(string id, ClayBody? clay = null) => new(id, Stage.Greenware, clay ?? Stoneware, [])
    {
        Dryness = Dryness.Dry,
    };

    public static Ware Glazed(string id, params Layer[] further) => new(id, Stage.Glazed, Stoneware, [Fired(White, "6"), .. further])
    {
        BisquedAt = Cone.Parse("06"),
        BareFootMm = 6m,
    };

    public static Layer Raw(Glaze glaze) => new(glaze, 2, null, null);

    public static Layer Fired(Glaze glaze, string cone) => new(glaze, 2, null, Cone.Parse(cone));

    public static Glaze Containing(Substance substance, decimal? percent = null) =>
        White with { Name = $"white with {substance}", Contains = [new Ingredient(substance, percent)] };

    public static Ware ForFood(this Ware ware) => ware with { ForFood = true };

    public static CoFiringAnswer Check(this FiringPlan firing, params Ware[] pieces) => CoFiringCheck.Check(firing, pieces);

    public static IEnumerable<Finding> Findings(this CoFiringAnswer answer) => answer.Pieces.SelectMany(piece => piece.Findings).Concat(answer.Between);

    public static Finding? Find(this CoFiringAnswer answer, string rule) =>
        answer.Findings().FirstOrDefault(finding => string.Equals(finding.Rule, rule, StringComparison.Ordinal));
}
