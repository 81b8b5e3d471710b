using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>A firing schedule that a studio keeps under a name.</summary>
public sealed class StudioSchedule(Id<Studio> studioId, Id<StudioSchedule> id, string name, string? purpose, FiringSchedule schedule, Instant createdAt)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<StudioSchedule> Id { get; private set; } = id;

    /// <summary>What the studio calls it.</summary>
    public string Name { get; private set; } = name;

    /// <summary>What it is for and what to mind; null where not said.</summary>
    public string? Purpose { get; private set; } = purpose;

    /// <summary>Ramps and holds.</summary>
    public FiringSchedule Schedule { get; private set; } = schedule;

    /// <summary>When it was written down.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>Raised by every edit.</summary>
    public long Version { get; set; } = 1;
}
