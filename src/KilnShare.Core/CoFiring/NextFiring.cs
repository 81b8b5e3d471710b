using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>The firings in which a piece's next step can be done within every range that counts for it.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Window">The cones.</param>
/// <param name="Atmospheres">The atmospheres nothing is known to speak against.</param>
internal sealed record NextFiring(FiringKind Kind, ConeSpan Window, IReadOnlyList<Atmosphere> Atmospheres)
{
    /// <summary>Usual cones of a bisque where the body names none; source: kiln makers' published manuals.</summary>
    private static readonly ConeSpan UsualBisque = new(Cone.Parse("010").Order, Cone.Parse("04").Order);

    /// <summary>For a step of the piece's route.</summary>
    public static NextFiring Of(Ware ware, FiringKind kind, ConeSeries series) =>
        new(kind, ConeBounds.Window(series, ConeBounds.Of(kind, ware)), [.. Suited(ware, kind)]);

    /// <summary>Firings that suit the piece better than this one, the nearest to it first; empty where there is none.</summary>
    public static IEnumerable<FiringPlan> Instead(Ware ware, FiringPlan firing)
    {
        var open = ware.Route.Open.Select(step => step.Kind).ToArray();
        if (open.Length == 0) return [];
        var next = Of(ware, open.Contains(firing.Kind) ? firing.Kind : open[0], firing.Series);
        var within = next.Window.And(firing.KilnSpan);
        if (within.IsEmpty) within = HottestNotAbove(ware, next.Kind, firing);
        if (within.IsEmpty || next.Atmospheres.Count == 0) return [];
        next = next with { Window = within };
        var atmosphere = next.Atmospheres.Contains(firing.Atmosphere) ? firing.Atmosphere : next.Atmospheres[0];
        return Nearest(next, firing.Cone).Select(cone => firing with { Kind = next.Kind, Cone = cone, Atmosphere = atmosphere, BisqueStart = null })
            .Where(other => (other.Kind, other.Cone, other.Atmosphere) != (firing.Kind, firing.Cone, firing.Atmosphere));
    }

    // Where the ranges never meet, the hottest cone that none of them forbids: something stays immature, but nothing melts onto a shelf.
    private static ConeSpan HottestNotAbove(Ware ware, FiringKind kind, FiringPlan firing)
    {
        var cooler = ConeBounds.NotAbove(firing.Series, ConeBounds.Of(kind, ware)).And(firing.KilnSpan);
        return new ConeSpan(cooler.Last, cooler.Last).And(cooler);
    }

    private static IEnumerable<Cone> Nearest(NextFiring next, Cone wished)
    {
        var usual = next.Window.And(UsualBisque);
        var span = next.Kind == FiringKind.Bisque && !usual.IsEmpty ? usual : next.Window;
        var nearest = span.Nearest(wished);
        // Where the nearest does not do, the other end of the range is tried.
        var other = Cone.At(nearest.Order - span.First < span.Last - nearest.Order ? span.Last : span.First);
        return nearest == other ? [nearest] : [nearest, other];
    }

    private static IEnumerable<Atmosphere> Suited(Ware ware, FiringKind kind) => CoFiring.Atmospheres.All.Where(atmosphere =>
        (!CoFiring.Atmospheres.CountsForBody(kind, atmosphere) || CoFiring.Atmospheres.Stands(ware.Clay.Atmospheres, atmosphere) != false)
        && ware.Layers.All(layer => !layer.IsRaw || CoFiring.Atmospheres.Stands(layer.Glaze.Atmospheres, atmosphere) != false));
}
