namespace KilnShare.Core.Cones;

/// <summary>How far one cone has come.</summary>
/// <param name="Cone">The cone.</param>
/// <param name="Progress">1 is fully down; it may exceed 1 and is never above that of the next softer cone.</param>
/// <param name="DownAtSeconds">When it was down, s on the clock of the history; null where it is not.</param>
/// <param name="TableC">Its tabulated temperature at the end rate, °C; null where there is no end rate to look it up at.</param>
public sealed record ConeProgress(Cone Cone, double Progress, double? DownAtSeconds, double? TableC)
{
    /// <summary>How far it has bent; 90° where it is down.</summary>
    public ConeBend Bend { get; init; }
}

/// <summary>What the heat-work amounts to, between two named cones.</summary>
/// <param name="Down">The hottest cone that is down; null where none is.</param>
/// <param name="Next">The next hotter one; null where the hottest of the series is down.</param>
/// <param name="Fraction">
/// How far from the one to the other, 0 to 1, by the logarithm of progress, which is nearly even in temperature; toward the softest
/// cone, its progress; 0 where there is no next.
/// </param>
public sealed record HeatWorkEquivalent(Cone? Down, Cone? Next, double Fraction);

/// <summary>What a temperature history did to the cones of a series.</summary>
/// <param name="PeakC">The highest temperature, °C.</param>
/// <param name="Hours">The whole duration, h.</param>
/// <param name="EndRateCPerHour">The rate over the last 100 °C climbed, °C/h; null when less was climbed.</param>
/// <param name="Cones">Every cone, cold to hot.</param>
/// <param name="Equivalent">Where it stands between two cones.</param>
/// <param name="Basis">How near to the maker's table the answer stands.</param>
/// <param name="Warnings">What makes this answer weaker than it looks.</param>
/// <param name="Caution">What such a calculation cannot say at all.</param>
public sealed record HeatWorkAnswer(
    double PeakC,
    double Hours,
    double? EndRateCPerHour,
    IReadOnlyList<ConeProgress> Cones,
    HeatWorkEquivalent Equivalent,
    EquivalentBasis Basis,
    IReadOnlyList<string> Warnings,
    string Caution);
