using KilnShare.Core.Common;

namespace KilnShare.Core.Cones;

/// <summary>Heat-work: what a temperature history does to cones, cooling included.</summary>
public static class HeatWork
{
    /// <summary>What no calculation from one thermocouple can say.</summary>
    public const string Caution =
        "Worked out from one temperature curve: the kiln differs from shelf to shelf and thermocouples drift. "
        + "Put witness cones on the shelves and believe them before this figure. This is no safety device and no cut-out.";

    /// <summary>How near a peak must be to a cone's tabulated temperature for the kinetics to be trusted, °C.</summary>
    /// <remarks>Source: comparison with reported holds, which the kinetics miss beyond about 30 °C (potters' mailing-list archive).</remarks>
    public const double TrustedWithinC = 30;

    // More than this of the heat-work done after the climb, and the table's figure for the climb alone no longer speaks for it.
    private const double ClimbAlonePart = 0.99;

    /// <summary>What this history did to every cone of the series.</summary>
    /// <remarks>
    /// Source: see <see cref="ConeKinetics"/>. Units: °C, s, h.
    /// Valid for: peaks within <see cref="TrustedWithinC"/> of the cone, end rates within the table; a warning says where it is neither.
    /// Accuracy: 3 °C at the tabulated cells, beside the ±2 °C the maker claims for the cones.
    /// </remarks>
    public static Result<HeatWorkAnswer> Of(ConeSeries series, TemperatureHistory history) =>
        HeatWorkMeter.Of(series).Then<HeatWorkAnswer>(meter =>
        {
            var climbed = new double[meter.Kinetics.Count];
            var seconds = history.Seconds;
            var celsius = history.Celsius;
            var climbEnd = history.ClimbEndIndex;
            for (var i = 0; i < seconds.Length; i++)
            {
                meter.Add(seconds[i], celsius[i]);
                if (i == climbEnd) meter.CopyProgress(climbed);
            }
            return Answer(series, history, meter, climbed);
        });

    /// <summary>
    /// Says where a peak is so far from a cone's tabulated temperature that what is worked out rests on extrapolation; null where it is near.
    /// </summary>
    /// <param name="cone">The cone.</param>
    /// <param name="tableC">Its temperature in the table at the end rate, °C; null where there is none.</param>
    /// <param name="peakC">The peak, °C.</param>
    public static string? BeyondTrust(Cone cone, double? tableC, double peakC) => tableC is not { } table || Math.Abs(peakC - table) <= TrustedWithinC ? null
        : $"The peak of {peakC:0} °C is {Math.Abs(peakC - table):0} °C from the {table:0} °C of cone {cone} in the table, so this rests on extrapolation. "
            + $"More than {TrustedWithinC} °C away, holds have been seen to do more or less than is worked out here: rely on witness cones.";

    /// <summary>Where progress stands between two cones.</summary>
    public static HeatWorkEquivalent EquivalentOf(IReadOnlyList<ConeProgress> cones)
    {
        var down = -1;
        while (down + 1 < cones.Count && cones[down + 1].DownAtSeconds is not null) down++;
        if (down < 0) return new HeatWorkEquivalent(null, cones[0].Cone, Math.Min(1, cones[0].Progress));
        if (down + 1 == cones.Count) return new HeatWorkEquivalent(cones[down].Cone, null, 0);
        var above = Math.Max(0, Math.Log(cones[down].Progress));
        var below = -Math.Log(cones[down + 1].Progress);
        return new HeatWorkEquivalent(
            cones[down].Cone, cones[down + 1].Cone, double.IsFinite(below) && above + below > 0 ? above / (above + below) : 0);
    }

    private static HeatWorkAnswer Answer(ConeSeries series, TemperatureHistory history, HeatWorkMeter meter, double[] climbed)
    {
        var endRate = history.EndRateCPerHour;
        var cones = new ConeProgress[meter.Kinetics.Count];
        for (var i = 0; i < cones.Length; i++)
            cones[i] = new ConeProgress(
                meter.Kinetics[i].Cone, meter.ProgressOf(i), meter.DownAtSeconds(i), TableC(series, meter.Kinetics[i].Cone, endRate))
            {
                Bend = ConeBend.Of(meter.Kinetics[i], meter.ProgressOf(i)),
            };
        var equivalent = EquivalentOf(cones);
        var nearest = Math.Max(0, Array.FindLastIndex(cones, cone => cone.DownAtSeconds is not null));
        var standing = new HeatWorkStanding(
            series, meter.Kinetics[nearest], cones[nearest], history.PeakC, endRate, equivalent,
            climbed[nearest] >= ClimbAlonePart * cones[nearest].Progress);
        return new HeatWorkAnswer(
            history.PeakC, history.Hours, endRate, cones, equivalent, standing.Basis, standing.Warnings(), Caution);
    }

    /// <summary>The tabulated temperature of a cone at a rate, °C; null where the table or the rate does not tell.</summary>
    public static double? TableC(ConeSeries series, Cone cone, double? rate) =>
        rate is { } known && ConeTables.At(series, cone, known).TryGet(out var table, out _) ? table.Celsius : null;
}
