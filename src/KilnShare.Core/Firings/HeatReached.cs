using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>By what it is known how hot a firing became.</summary>
public enum HeatBasis
{
    /// <summary>A technician says so.</summary>
    Word,

    /// <summary>Witness cones that stood in the load.</summary>
    WitnessCones,

    /// <summary>The log.</summary>
    Log,
}

/// <summary>How hot a firing became.</summary>
/// <param name="Cone">The hottest cone that came down; null where none did, or where it is not known.</param>
/// <param name="PeakC">The highest temperature, °C; null where it is not known.</param>
/// <param name="Basis">By what the cone is known, or the temperature where there is no cone.</param>
public sealed record HeatReached(Cone? Cone, double? PeakC, HeatBasis Basis)
{
    /// <summary>
    /// What is believed: a technician's word before witness cones, witness cones before the log. Where all levels have cones, the coolest level counts,
    /// since its ware was in too.
    /// </summary>
    /// <remarks>
    /// Source: witness cones show what the kiln really did, a thermocouple drifts (owners' manuals); that the coolest level counts is common
    /// practice, no source.
    /// </remarks>
    /// <param name="word">What a technician says; null: nothing.</param>
    /// <param name="cones">What was seen of witness cones.</param>
    /// <param name="log">What the log did to the cones; null where there is none.</param>
    /// <returns>Null where nothing is known.</returns>
    public static HeatReached? Of(HeatReached? word, IReadOnlyList<WitnessCone> cones, HeatWorkAnswer? log)
    {
        var (seen, peakC) = (DownOnEachLevel(cones), word?.PeakC ?? log?.PeakC);
        if (word is { Cone: not null }) return word with { PeakC = peakC };
        if (seen is not null) return new HeatReached(seen, peakC, HeatBasis.WitnessCones);
        if (word is not null) return word;
        return log is null ? null : new HeatReached(log.Equivalent.Down, log.PeakC, HeatBasis.Log);
    }

    /// <summary>The temperature it is known to have reached: as measured, or at least that of its cone fired slowly.</summary>
    public double? AtLeastC(ConeSeries series) =>
        PeakC ?? (Cone is { } down && ConeTables.At(series, down, ConeTables.TabulatedRatesCPerHour(series)[0]).TryGet(out var table, out _)
            ? table.Celsius : null);

    private static Cone? DownOnEachLevel(IReadOnlyList<WitnessCone> cones)
    {
        Cone? least = null;
        foreach (var level in cones.GroupBy(c => c.Level, StringComparer.Ordinal))
        {
            var down = level.Where(c => c.BendDegrees >= WitnessCone.EndPointDegrees).Select(c => (Cone?)c.Cone).Max();
            if (down is null) return null;
            least = least is { } other && other < down ? other : down;
        }
        return least;
    }
}
