namespace KilnShare.Core.Cones;

/// <summary>How a heat-work answer stands to the maker's table: its basis and what weakens it.</summary>
/// <param name="Series">The series asked for.</param>
/// <param name="Kinetics">Of the cone the answer rests on: the hottest that is down, else the softest.</param>
/// <param name="Nearest">The progress of that cone.</param>
/// <param name="PeakC">The peak, °C.</param>
/// <param name="EndRateCPerHour">The rate over the last 100 °C, °C/h; null when less was climbed.</param>
/// <param name="Equivalent">The equivalent found.</param>
/// <param name="ByClimbAlone">True when the heat-work was done by the climb, with next to nothing by a hold or by the cooling.</param>
internal sealed record HeatWorkStanding(
    ConeSeries Series,
    ConeKinetics Kinetics,
    ConeProgress Nearest,
    double PeakC,
    double? EndRateCPerHour,
    HeatWorkEquivalent Equivalent,
    bool ByClimbAlone)
{
    // A rate worked out from a log is never 60 to the last digit.
    private const double SameRatePart = 1e-6;

    private bool TooFar => HeatWork.BeyondTrust(Nearest.Cone, Nearest.TableC, PeakC) is not null;

    private bool BeyondRates => EndRateCPerHour is not { } rate
        || rate < Kinetics.FittedRatesCPerHour[0] * (1 - SameRatePart)
        || rate > Kinetics.FittedRatesCPerHour[^1] * (1 + SameRatePart);

    /// <summary>Tabulated for a plain climb at a tabulated rate, interpolated within the table, else extrapolated.</summary>
    public EquivalentBasis Basis
    {
        get
        {
            if (BeyondRates || TooFar || Equivalent.Down is null || Equivalent.Next is null) return EquivalentBasis.Extrapolated;
            var rate = EndRateCPerHour!.Value;
            return ByClimbAlone && Kinetics.FittedRatesCPerHour.Any(r => Math.Abs(rate - r) <= SameRatePart * r)
                ? EquivalentBasis.Tabulated
                : EquivalentBasis.Interpolated;
        }
    }

    /// <summary>In words a potter can act on, each with its figures.</summary>
    public IReadOnlyList<string> Warnings()
    {
        var warnings = new List<string>();
        var rates = Kinetics.FittedRatesCPerHour;
        if (Equivalent.Down is null)
            warnings.Add($"No cone of this series is down; the softest, cone {Nearest.Cone}, is at {Nearest.Progress:0.00} of its way.");
        if (Equivalent.Next is null)
            warnings.Add($"The hottest cone of this series, cone {Nearest.Cone}, is down; what lies beyond it is not known.");
        if (EndRateCPerHour is not { } rate)
            warnings.Add($"Less than {TemperatureHistory.EndOfClimbC} °C was climbed, so there is no end rate to compare with the cone table.");
        else if (BeyondRates)
            warnings.Add(
                $"The last {TemperatureHistory.EndOfClimbC} °C were climbed at {rate:0.#} °C/h; cone {Nearest.Cone} is tabulated from "
                + $"{rates[0]} to {rates[^1]} °C/h. Beyond that this is a guide only: rely on witness cones.");
        if (HeatWork.BeyondTrust(Nearest.Cone, Nearest.TableC, PeakC) is { } far) warnings.Add(far);
        return warnings;
    }
}
