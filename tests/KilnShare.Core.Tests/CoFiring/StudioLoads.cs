using CsCheck;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.CoFiring.Samples;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>Ware as a studio has it on its racks: a few clays, some glazes, here and there lead, salt, stilts or wet greenware.</summary>
internal static class StudioLoads
{
    private static readonly string[][] ClayRanges = [["06", "04"], ["04", "2"], ["4", "6"], ["5", "7"], ["5", "10"], ["8", "10"], ["9", "11"]];

    public static Ware[] Of(int pieces, int glazes, int leadInHundred, int seed)
    {
        var random = new Random(seed);
        var palette = Enumerable.Range(0, glazes).Select(number => NewGlaze(random, number, leadInHundred)).ToArray();
        var clays = ClayRanges.Select(range => Stoneware with
        {
            Name = $"clay {range[0]}",
            Cones = Range(range[0], range[1]),
            BisqueCones = random.Next(3) == 0 ? null : Range("08", "04"),
            Atmospheres = random.Next(4) == 0 ? null : [Atmosphere.Oxidation, Atmosphere.Reduction],
        }).ToArray();
        return [.. Enumerable.Range(0, pieces).Select(number => NewWare(random, $"p{number}", clays, palette))];
    }

    /// <summary>Glazed ware of narrow ranges and several atmospheres each, where the fewest firings are hard to find.</summary>
    public static Ware[] Motley(int pieces, int width, int leadInHundred, int seed)
    {
        var random = new Random(seed);
        var body = Stoneware with { Cones = Range("06", "14"), Atmospheres = Enum.GetValues<Atmosphere>() };
        return [.. Enumerable.Range(0, pieces).Select(number =>
        {
            var from = random.Next(16, 37);
            var glaze = White with
            {
                Cones = new ConeRange(Cone.At(from), Cone.At(Math.Min(37, from + random.Next(width + 1)))),
                Atmospheres = [.. Enum.GetValues<Atmosphere>().OrderBy(_ => random.Next()).Take(random.Next(1, 4))],
                Contains = random.Next(100) < leadInHundred ? [new Ingredient(Substance.Lead)] : [],
            };
            return Bisqued($"p{number}", body, glaze) with { ForFood = random.Next(3) == 0 };
        })];
    }

    public static Gen<Ware[]> Any(int most) =>
        Gen.Select(Gen.Int[1, most], Gen.Int[1, 8], Gen.Int[0, 40], Gen.Int[0, int.MaxValue - 1], Of);

    private static Glaze NewGlaze(Random random, int number, int leadInHundred)
    {
        var from = random.Next(16, 34);
        return White with
        {
            Name = $"glaze {number}",
            Cones = new ConeRange(Cone.At(from), Cone.At(Math.Min(37, from + random.Next(4)))),
            Atmospheres = random.Next(5) switch
            {
                0 => null,
                1 => [Atmosphere.Reduction],
                2 => [Atmosphere.Oxidation, Atmosphere.Reduction],
                3 => [Atmosphere.Oxidation, Atmosphere.Neutral],
                _ => [Atmosphere.Oxidation],
            },
            Contains = random.Next(100) < leadInHundred ? [new Ingredient(Substance.Lead)] : [],
            Movement = random.Next(6) == 0 ? Movement.Runs : Movement.Stable,
        };
    }

    // A potter mostly picks a glaze that suits the clay, and now and then one that does not.
    private static Glaze Suiting(Random random, ClayBody clay, Glaze[] palette)
    {
        var suiting = palette.Where(glaze => glaze.Cones!.From <= clay.Cones!.To && glaze.Cones!.To >= clay.Cones!.From).ToArray();
        var from = suiting.Length == 0 || random.Next(12) == 0 ? palette : suiting;
        return from[random.Next(from.Length)];
    }

    private static Ware NewWare(Random random, string id, ClayBody[] clays, Glaze[] palette)
    {
        var clay = clays[random.Next(clays.Length)];
        var food = random.Next(3) == 0;
        return random.Next(8) switch
        {
            0 => Greenware(id, clay) with { ForFood = food, Dryness = random.Next(6) == 0 ? Dryness.Wet : Dryness.Dry },
            1 => Glazed(id, Raw(Lustre)) with { Clay = clay, ForFood = food },
            2 => Glazed(id) with { ForFood = food },
            _ => Bisqued(id, clay, Suiting(random, clay, palette)) with { ForFood = food, OnStilts = random.Next(10) == 0 },
        };
    }
}
