namespace KilnShare.Core.Loading.Checks;

/// <summary>What the checks of distances share.</summary>
internal static class Tolerance
{
    /// <summary>A distance may be short by so much, µm: the most that rounding turned corners to whole micrometres can cost.</summary>
    public const double Micrometres = 2;

    /// <summary>A distance in words.</summary>
    public static string Mm(double micrometres) => FormattableString.Invariant($"{micrometres / 1000:0.###} mm");
}
