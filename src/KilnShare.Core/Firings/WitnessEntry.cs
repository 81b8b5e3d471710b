using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>A witness cone as a studio wrote it down. A later entry for the same level and cone stands for the earlier one.</summary>
public sealed class WitnessEntry(
    Id<Studio> studioId, Id<WitnessEntry> id, Id<Firing> firingId, string level, Cone cone, double bendDegrees, double endRateCPerHour, Instant writtenAt)
{
    /// <summary>Longest name of a level.</summary>
    public const int MaxLevel = 40;

    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<WitnessEntry> Id { get; private set; } = id;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>The level it stood on, in the studio's words.</summary>
    public string Level { get; private set; } = level;

    /// <summary>Which cone.</summary>
    public Cone Cone { get; private set; } = cone;

    /// <summary>How far its tip has travelled: 0 upright, 90 at its end point.</summary>
    public double BendDegrees { get; private set; } = bendDegrees;

    /// <summary>The rate over the last 100 °C of the firing, as it was known then.</summary>
    public double EndRateCPerHour { get; private set; } = endRateCPerHour;

    /// <summary>When it was written down.</summary>
    public Instant WrittenAt { get; private set; } = writtenAt;

    /// <summary>Who wrote it down.</summary>
    public Id<Member> MemberId { get; init; }

    /// <summary>What the entries of one firing say together: of each level and cone the latest.</summary>
    /// <param name="aim">What the firing was to be.</param>
    /// <param name="entries">Oldest first; one or more.</param>
    public static WitnessFiring FiringOf(FiringAim aim, IReadOnlyList<WitnessEntry> entries) => new(
        aim.Series, aim.Cone, entries[^1].EndRateCPerHour,
        [.. entries.GroupBy(e => (e.Level, e.Cone)).Select(g => new WitnessCone(g.Key.Level, g.Key.Cone, g.Last().BendDegrees))]);
}
