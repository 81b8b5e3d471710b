using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Kilns;
using KilnShare.Core.Materials;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>Where a firing stands.</summary>
public enum FiringState
{
    /// <summary>Being thought of.</summary>
    Draft,

    /// <summary>Takes bookings.</summary>
    Accepting,

    /// <summary>Takes no more; its plan stands.</summary>
    Fixed,

    /// <summary>The ware is in, as written down.</summary>
    Loaded,

    /// <summary>Power on.</summary>
    Heating,

    /// <summary>Power off, not yet cold.</summary>
    Cooling,

    /// <summary>The ware is out.</summary>
    Unloaded,

    /// <summary>Its cost is shared.</summary>
    Settled,

    /// <summary>Will not happen.</summary>
    Cancelled,
}

/// <summary>How a firing came out: a fact beside its state.</summary>
public enum FiringOutcome
{
    /// <summary>As meant.</summary>
    Sound,

    /// <summary>Too cool.</summary>
    Short,

    /// <summary>Too hot.</summary>
    Over,

    /// <summary>Broken off.</summary>
    Aborted,
}

/// <summary>Where a firing's hours come from.</summary>
public enum HoursBasis
{
    /// <summary>A person entered them.</summary>
    Entered,

    /// <summary>Some of them were worked out from its schedule and its kiln.</summary>
    Forecast,
}

/// <summary>What a firing is to be.</summary>
/// <param name="Kind">What it does to the ware.</param>
/// <param name="Cone">Its cone.</param>
/// <param name="Series">The series of that cone.</param>
/// <param name="Atmosphere">Its atmosphere.</param>
public sealed record FiringAim(FiringKind Kind, Cone Cone, ConeSeries Series, Atmosphere Atmosphere);

/// <summary>One use of a kiln.</summary>
public sealed class Firing(
    Id<Studio> studioId, Id<Firing> id, Id<Kiln> kilnId, FiringAim aim, Instant startsAt, decimal firingHours, decimal coolingHours, Instant createdAt) : IEditable
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<Firing> Id { get; private set; } = id;

    /// <summary>The kiln.</summary>
    public Id<Kiln> KilnId { get; private set; } = kilnId;

    /// <summary>What it is to be.</summary>
    public FiringAim Aim { get; set; } = aim;

    /// <summary>Where it stands.</summary>
    public FiringState State { get; set; }

    /// <summary>How it came out; null while not known.</summary>
    public FiringOutcome? Outcome { get; set; }

    /// <summary>When the kiln is to be switched on.</summary>
    public Instant StartsAt { get; private set; } = startsAt;

    /// <summary>The schedule it follows; null where none was named.</summary>
    public Id<StudioSchedule>? ScheduleId { get; set; }

    /// <summary>Where its hours come from.</summary>
    public HoursBasis HoursBasis { get; set; }

    /// <summary>Hours from switching on to switching off.</summary>
    public decimal FiringHours { get; private set; } = firingHours;

    /// <summary>Hours from switching off until it may be unloaded.</summary>
    public decimal CoolingHours { get; private set; } = coolingHours;

    /// <summary>Until when the kiln is kept for it.</summary>
    public Instant EndsAt { get; private set; } = End(startsAt, firingHours, coolingHours);

    /// <summary>When it was really switched on; a fact, free of the plan.</summary>
    public Instant? LitAt { get; set; }

    /// <summary>When it was really unloaded.</summary>
    public Instant? UnloadedAt { get; set; }

    /// <summary>The firing before it in its kiln that ended later than planned and into its time; null where none did.</summary>
    public Id<Firing>? HeldUpById { get; private set; }

    /// <summary>When the kiln was free of that firing.</summary>
    public Instant? HeldUpUntil { get; private set; }

    /// <summary>When it was written down.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>Raised by every edit of people, not by bookings.</summary>
    public long Version { get; set; } = 1;

    /// <summary>Moves the planned time.</summary>
    public void Plan(Instant startsAt, decimal firingHours, decimal coolingHours)
    {
        StartsAt = startsAt;
        FiringHours = firingHours;
        CoolingHours = coolingHours;
        EndsAt = End(startsAt, firingHours, coolingHours);
        if (startsAt >= HeldUpUntil) (HeldUpById, HeldUpUntil) = (null, null);
    }

    private static Instant End(Instant startsAt, decimal firingHours, decimal coolingHours) =>
        startsAt + Duration.FromHours((double)(firingHours + coolingHours));
}
