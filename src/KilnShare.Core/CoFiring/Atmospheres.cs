using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>Which atmospheres count for what.</summary>
internal static class Atmospheres
{
    public static IReadOnlyList<Atmosphere> All { get; } =
        [Atmosphere.Oxidation, Atmosphere.Neutral, Atmosphere.Reduction, Atmosphere.SaltSoda, Atmosphere.Wood];

    /// <summary>A body minds the atmosphere that matures it; a bisque, a setting or an overglaze firing with enough air suits every body.</summary>
    public static bool CountsForBody(FiringKind kind, Atmosphere atmosphere) =>
        kind is FiringKind.Glaze or FiringKind.SingleFire || atmosphere is not (Atmosphere.Oxidation or Atmosphere.Neutral);

    /// <summary>True: stands it; false: does not; null: not known.</summary>
    public static bool? Stands(IReadOnlyList<Atmosphere>? stood, Atmosphere atmosphere) => stood?.Contains(atmosphere);

    /// <summary>The atmosphere in words.</summary>
    public static string InWords(Atmosphere atmosphere) => atmosphere switch
    {
        Atmosphere.Oxidation => "oxidation",
        Atmosphere.Neutral => "a neutral fire",
        Atmosphere.Reduction => "reduction",
        Atmosphere.SaltSoda => "salt or soda",
        _ => "wood",
    };

    public static string InWords(IEnumerable<Atmosphere> atmospheres) => string.Join(", ", atmospheres.Select(InWords));
}
