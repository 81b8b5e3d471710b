using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Bookings;

/// <summary>
/// What a firing's published plan stands on: the kiln and its furniture as they were when the plan was made, so that it can always be read and drawn.
/// </summary>
public sealed class PlanGround(Id<Studio> studioId, Id<Firing> firingId, KilnMaking making, Furniture furniture, long kilnVersion)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>The kiln, with chamber, spacing and keep-outs.</summary>
    public KilnMaking Making { get; private set; } = making;

    /// <summary>Its shelves and posts.</summary>
    public Furniture Furniture { get; private set; } = furniture;

    /// <summary>The kiln's version they were taken from.</summary>
    public long KilnVersion { get; private set; } = kilnVersion;

    /// <summary>Since when the kiln's furniture is another and the plan is not known to stand on it; null while it does.</summary>
    public Instant? MarkedAt { get; private set; }
}
