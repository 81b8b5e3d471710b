using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.CoFiring.Rules;

/// <summary>Mid and high fired ware is bisqued cooler than it is glazed; commercial low-fire ware hotter.</summary>
internal sealed class BisqueAndGlazeCone() : PieceRule(
    "bisque-and-glaze-cone", "Kiln makers' published manuals: commercial low-fire ware bisqued at 04, glazed at 06; bands of cones: common practice, no source",
    "the cone of the bisque", CoFiring.Touches.Self)
{
    private static readonly Cone LowFireTo = Cone.Parse("02");
    private static readonly Cone MidRangeFrom = Cone.Parse("4");

    public override IEnumerable<Finding> Look(CheckedLoad load, int index)
    {
        var ware = load.Pieces[index];
        var firing = load.Firing;
        if (firing.Kind != FiringKind.Glaze || ware.Stage != Stage.Bisque || ware.BisquedAt is not { } bisqued) yield break;
        if (Word(load, bisqued) is not { } message) yield break;
        yield return Say(
            [ware.Id], CoFiring.Touches.Self, Verdict.Caution, message, [], ("bisquedAt", bisqued.Name), ("firingCone", firing.Cone.Name));
    }

    private static string? Word(CheckedLoad load, Cone bisqued)
    {
        var cone = load.Firing.Cone;
        if (cone >= MidRangeFrom && bisqued > cone)
        {
            return $"It was bisqued at {ConeText.With(bisqued, load.Firing.Series)}, hotter than this firing, {load.ConeInWords}: it takes up little glaze, "
                + "which then crawls. Warm the ware, put the glaze on thicker and test first.";
        }

        return cone <= LowFireTo && bisqued < cone
            ? $"It was bisqued at {ConeText.With(bisqued, load.Firing.Series)}, cooler than this low firing, {load.ConeInWords}: gas left in the body "
                + $"can pinhole "
              + "the glaze, and it may craze. Low-fire ware is usually bisqued hotter than it is glazed."
            : null;
    }
}
