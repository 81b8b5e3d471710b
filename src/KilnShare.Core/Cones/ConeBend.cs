namespace KilnShare.Core.Cones;

/// <summary>How far a cone has bent, as one would see it through the spy hole: 0 stands, 90 is down.</summary>
/// <param name="Degrees">As likely.</param>
/// <param name="FromDegrees">At the least.</param>
/// <param name="ToDegrees">At the most.</param>
public readonly record struct ConeBend(double Degrees, double FromDegrees, double ToDegrees)
{
    /// <summary>A cone that is down.</summary>
    public const double DownDegrees = 90;

    private const double UsualMinutes = 20;
    private const double ShortestMinutes = 15;
    private const double LongestMinutes = 25;
    private const double ToleranceC = 2;
    private const double RateCPerHour = 60;

    /// <summary>
    /// The bend at a progress. At 60 °C/h progress grows by a fixed part a minute, so it tells how many minutes the cone is from being down; it bends
    /// evenly over the last of them.
    /// </summary>
    /// <remarks>
    /// Source: bending takes about 15 to 25 minutes once it starts and ends at 90° (cone maker's chart, 2016); cones of one batch differ by 2 °C (the maker's
    /// claim), which at 60 °C/h are two minutes. That it bends evenly is taken to be so. Units: degrees of arc. Valid for: the end of a climb at
    /// about 60 °C/h.
    /// </remarks>
    public static ConeBend Of(ConeKinetics kinetics, double progress)
    {
        var minutes = -Math.Log(progress) * kinetics.SecondsAtPeakOfClimb(kinetics.ReferenceKelvin, RateCPerHour) / 60;
        const double Tolerance = ToleranceC / RateCPerHour * 60;
        var (late, early) = (minutes + Tolerance, minutes - Tolerance);
        return new ConeBend(
            Bent(minutes, UsualMinutes), Math.Min(
                Bent(late, ShortestMinutes), Bent(late, LongestMinutes)), Math.Max(Bent(early, ShortestMinutes), Bent(early, LongestMinutes)));
    }

    private static double Bent(double minutesToGo, double minutes) => Math.Clamp(DownDegrees * (1 - minutesToGo / minutes), 0, DownDegrees);
}
