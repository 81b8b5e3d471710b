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
public sealed record FiringAim(FiringKind Kind, Cone Cone, ConeSeries Series, Atmosphere Atmosphere)
{
    /// <summary>A technician has said that the cone is meant as written, and not the one that is the same but for the leading zero.</summary>
    public bool ConeIsMeant { get; init; }
}

/// <summary>One use of a kiln.</summary>
public sealed class Firing(
    Id<Studio> studioId, Id<Firing> id, Id<Kiln> kilnId, FiringAim aim, Instant startsAt, decimal firingHours, decimal coolingHours, Instant createdAt)
        : IEditable
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

    /// <summary>When it was really switched on; a fact, free of the plan. Null until it is lit, and until its log tells or somebody says.</summary>
    public Instant? LitAt { get; private set; }

    /// <summary>True where its log says when it was switched on, and nobody did.</summary>
    public bool IsLitByLog { get; private set; }

    /// <summary>True where readings showed it to be on before anybody gave the command: whoever gives it then answers for what is so already.</summary>
    public bool AwaitsCommand { get; private set; }

    /// <summary>True where it was switched on without all checks before lighting.</summary>
    public bool LitWithoutChecks { get; private set; }

    /// <summary>Who answers for its being lit without them; null where nobody has to, or does.</summary>
    public string? LitAnsweredBy { get; private set; }

    /// <summary>The hottest cone that came down, where the outcome was not sound and that is known.</summary>
    public Cone? ReachedCone { get; private set; }

    /// <summary>The highest temperature, °C, where the outcome was not sound and that is known.</summary>
    public double? ReachedC { get; private set; }

    /// <summary>By what the two are known; null where neither is.</summary>
    public HeatBasis? ReachedBy { get; private set; }

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

    /// <summary>How hot it became, where its outcome was not sound; null where that is not known.</summary>
    public HeatReached? Heat() => ReachedBy is { } basis ? new HeatReached(ReachedCone, ReachedC, basis) : null;

    /// <summary>It is on, by command.</summary>
    /// <param name="at">When it was switched on, if somebody says so.</param>
    /// <param name="byLog">When it was by its log; null where that does not tell.</param>
    /// <param name="withoutChecks">Not all checks were done.</param>
    /// <param name="answeredBy">Who answers for that.</param>
    public void Light(Instant? at, Instant? byLog, bool withoutChecks, string? answeredBy)
    {
        (State, AwaitsCommand, LitWithoutChecks, LitAnsweredBy) = (FiringState.Heating, false, withoutChecks, answeredBy);
        (LitAt, IsLitByLog) = (at ?? byLog, at is null);
    }

    /// <summary>It is on, as its readings show, though nobody said so.</summary>
    public void LightByReadings(Instant? byLog, bool withoutChecks)
    {
        Light(null, byLog, withoutChecks, null);
        AwaitsCommand = true;
    }

    /// <summary>Its log tells better when it was switched on, where nobody said so.</summary>
    public void LitByLog(Instant at) => LitAt = IsLitByLog ? at : LitAt;

    /// <summary>How it came out. How hot it became is kept where it was not as meant.</summary>
    public void CameOut(FiringOutcome outcome, HeatReached? heat)
    {
        Outcome = outcome;
        var kept = outcome == FiringOutcome.Sound ? null : heat;
        (ReachedCone, ReachedC, ReachedBy) = (kept?.Cone, kept?.PeakC, kept?.Basis);
    }

    private static Instant End(Instant startsAt, decimal firingHours, decimal coolingHours) =>
        startsAt + Duration.FromHours((double)(firingHours + coolingHours));
}
