using KilnShare.Core.CoFiring;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.Tests.CoFiring;

/// <summary>The fewest firings by trying every way to divide the pieces, every series, cone and atmosphere: slow and plain.</summary>
internal static class GroupsByTrying
{
    public static int Fewest(Ware[] pieces)
    {
        var possible = new bool[1 << pieces.Length];
        for (var set = 1; set < possible.Length; set++) possible[set] = IsPossible([.. pieces.Where((_, i) => ((set >> i) & 1) != 0)]);
        var fewest = new int[possible.Length];
        for (var set = 1; set < possible.Length; set++)
        {
            fewest[set] = int.MaxValue;
            for (var group = set; group > 0; group = (group - 1) & set)
                if (possible[group] && fewest[set ^ group] != int.MaxValue) fewest[set] = Math.Min(fewest[set], fewest[set ^ group] + 1);
        }
        return fewest[^1];
    }

    public static bool IsPossible(Ware[] pieces)
    {
        var kinds = pieces.Select(NextKind).Distinct().ToArray();
        if (kinds.Length != 1 || kinds[0] is not { } kind) return false;
        return Enum.GetValues<ConeSeries>().Any(series => IsPossible(pieces, kind, series));
    }

    private static bool IsPossible(Ware[] pieces, FiringKind kind, ConeSeries series)
    {
        if (CoFiringCheck.Check(new FiringPlan(kind, Cone.At(0), series, Atmosphere.Oxidation), pieces).ConeWindow is not { } window) return false;
        // Whoever saves a firing does not put a glaze into an atmosphere that is not its own.
        return Enum.GetValues<Atmosphere>().Where(atmosphere => pieces.All(piece => Suits(piece, atmosphere)))
            .Any(atmosphere => Cone.All.Where(window.Holds).Any(cone =>
            CoFiringCheck.Check(new FiringPlan(kind, cone, series, atmosphere), pieces).Verdict != Verdict.Incompatible));
    }

    private static bool Suits(Ware piece, Atmosphere atmosphere) =>
        piece.Layers.All(layer => layer.FiredAt is not null || layer.Glaze.Atmospheres is null || layer.Glaze.Atmospheres.Contains(atmosphere));

    private static FiringKind? NextKind(Ware ware) =>
        KilnShare.Core.Pieces.Route.Of(
            ware.Stage, [.. ware.Layers.Where(layer => layer.FiredAt is null).Select(layer => layer.Glaze.Kind)], ware.SingleFire).Next?.Kind;
}
