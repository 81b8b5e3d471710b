using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.Pieces;

/// <summary>One firing on a piece's way.</summary>
/// <param name="Kind">The kind of firing.</param>
/// <param name="MayBeSkipped">The next step may be taken without it.</param>
/// <param name="IsRefire">Body and glaze have been through such a firing before.</param>
public sealed record RouteStep(FiringKind Kind, bool MayBeSkipped = false, bool IsRefire = false);

/// <summary>The firings a piece still needs, in order; it is booked step by step, ahead where wished.</summary>
/// <param name="Steps">The next one first; empty when nothing is left to fire.</param>
public sealed record Route(IReadOnlyList<RouteStep> Steps)
{
    /// <summary>The next firing; null when nothing is left to fire.</summary>
    public RouteStep? Next => Steps.Count == 0 ? null : Steps[0];

    /// <summary>The firings that may come next: the next step, and those behind it that are reached by skipping.</summary>
    public IEnumerable<RouteStep> Open
    {
        get
        {
            foreach (var step in Steps)
            {
                yield return step;
                if (!step.MayBeSkipped) yield break;
            }
        }
    }

    /// <summary>The way from here on.</summary>
    /// <param name="stage">What the piece has been fired to.</param>
    /// <param name="raw">The sorts of coat on it that are not fired yet.</param>
    /// <param name="singleFire">Whether it is declared for a single firing; null: greenware that carries raw glaze is.</param>
    /// <param name="named">The firings before which a coat is said to go on.</param>
    /// <remarks>Source: common practice: bisque, underglaze set by itself where brushed glaze would smear it, glaze, overglaze.</remarks>
    public static Route Of(Stage stage, IReadOnlyCollection<GlazeKind> raw, bool? singleFire = null, IReadOnlyCollection<RouteFiring>? named = null) =>
        new(stage switch
        {
            Stage.Greenware => [.. FromGreenware(raw, singleFire ?? raw.Contains(GlazeKind.Glaze)), .. NamedRefire(named), .. Overglaze(raw)],
            Stage.Bisque => [.. FromBisque(raw, named?.Contains(RouteFiring.UnderglazeSet)), .. NamedRefire(named), .. Overglaze(raw)],
            Stage.Glazed or Stage.Finished => [.. Refire(raw), .. Overglaze(raw)],
            _ => [],
        });

    private static IEnumerable<RouteStep> FromGreenware(IReadOnlyCollection<GlazeKind> raw, bool single)
    {
        if (single) return [new RouteStep(FiringKind.SingleFire)];
        RouteStep[] set = IsColoured(raw) ? [new RouteStep(FiringKind.UnderglazeSet, MayBeSkipped: true)] : [];
        return [new RouteStep(FiringKind.Bisque), .. set, new RouteStep(FiringKind.Glaze)];
    }

    private static IEnumerable<RouteStep> FromBisque(IReadOnlyCollection<GlazeKind> raw, bool? isSet)
    {
        if (IsColoured(raw) && (isSet == true || !raw.Contains(GlazeKind.Glaze))) yield return new RouteStep(FiringKind.UnderglazeSet, MayBeSkipped: true);
        yield return new RouteStep(FiringKind.Glaze);
    }

    private static IEnumerable<RouteStep> Refire(IReadOnlyCollection<GlazeKind> raw) =>
        raw.Contains(GlazeKind.Glaze) || IsColoured(raw) ? [new RouteStep(FiringKind.Glaze, IsRefire: true)] : [];

    private static IEnumerable<RouteStep> NamedRefire(IReadOnlyCollection<RouteFiring>? named) =>
        named?.Contains(RouteFiring.Refire) == true ? [new RouteStep(FiringKind.Glaze, IsRefire: true)] : [];

    private static IEnumerable<RouteStep> Overglaze(IReadOnlyCollection<GlazeKind> raw) =>
        raw.Any(kind => kind is GlazeKind.Lustre or GlazeKind.Enamel or GlazeKind.Decal) ? [new RouteStep(FiringKind.Overglaze)] : [];

    private static bool IsColoured(IReadOnlyCollection<GlazeKind> raw) => raw.Contains(GlazeKind.Underglaze) || raw.Contains(GlazeKind.Engobe);
}
