using FluentValidation;
using KilnShare.Api.CoFiring;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>A firing to be planned.</summary>
public record FiringBody : FiringAimContract
{
    /// <summary>The kiln.</summary>
    public required Guid KilnId { get; init; }

    /// <summary>When the kiln is to be switched on.</summary>
    public required Instant StartsAt { get; init; }

    /// <summary>The schedule it follows.</summary>
    public Guid? ScheduleId { get; init; }

    /// <summary>True when a technician says that the cone is meant as written, and not the one that is the same but for the leading zero.</summary>
    public bool ConeIsMeant { get; init; }

    /// <summary>Hours from switching on to switching off, as you expect them; absent: forecast from the schedule.</summary>
    /// <example>11</example>
    public decimal? FiringHours { get; init; }

    /// <summary>Hours from switching off until it may be unloaded, as you expect them; absent: forecast, where the kiln's wall and power are known.</summary>
    /// <example>20</example>
    public decimal? CoolingHours { get; init; }

    /// <summary>What it is to be, in Core's terms.</summary>
    public FiringAim ToAim() => ToCore() with { ConeIsMeant = ConeIsMeant };
}

/// <summary>What holds a firing up.</summary>
public sealed record HeldUpContract
{
    /// <summary>The firing that took longer.</summary>
    public required Guid ByFiringId { get; init; }

    /// <summary>When the kiln was free of it, or will be at the earliest.</summary>
    public required Instant Until { get; init; }

    /// <summary>What to do.</summary>
    public required string Message { get; init; }

    /// <summary>The contract of what holds a firing up.</summary>
    public static HeldUpContract? Of(Firing firing) => firing is { HeldUpById: { } by, HeldUpUntil: { } until } ? new()
    {
        ByFiringId = by.Value,
        Until = until,
        Message = "The firing before this one keeps the kiln for longer than planned. Move startsAt to when the kiln is free, and tell those who come to load.",
    } : null;
}

/// <summary>A firing.</summary>
public sealed record FiringAnswer : FiringBody
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>Where it stands.</summary>
    public required FiringState State { get; init; }

    /// <summary>How it came out; null while not known.</summary>
    public required FiringOutcome? Outcome { get; init; }

    /// <summary>Until when the kiln is kept for it.</summary>
    public required Instant EndsAt { get; init; }

    /// <summary>entered by a person, or forecast (some of them) from schedule and kiln.</summary>
    /// <example>entered</example>
    public required HoursBasis HoursBasis { get; init; }

    /// <summary>The cone with its temperature, so that 6 and 06 are not confused.</summary>
    public required ConeEquivalentContract? ConeEquivalent { get; init; }

    /// <summary>When it was really switched on: as said, or by its log. Null until either tells.</summary>
    public required Instant? LitAt { get; init; }

    /// <summary>True where it was switched on without all checks before lighting.</summary>
    public required bool LitWithoutChecks { get; init; }

    /// <summary>Who answers for its being lit without them; null where nobody has to, or nobody does.</summary>
    public required string? AnsweredBy { get; init; }

    /// <summary>How hot it became, where it did not come out as meant and that is known.</summary>
    public required HeatReachedAnswer? Reached { get; init; }

    /// <summary>When it was really unloaded.</summary>
    public required Instant? UnloadedAt { get; init; }

    /// <summary>The firing before it that took the kiln for longer than planned; null where none did, or since this one was moved.</summary>
    public required HeldUpContract? HeldUp { get; init; }

    /// <summary>Raised by every edit of people; also the ETag.</summary>
    public required long Version { get; init; }

    /// <summary>The answer for a firing.</summary>
    public static FiringAnswer Of(Firing firing) => new()
    {
        Id = firing.Id.Value,
        KilnId = firing.KilnId.Value,
        Kind = firing.Aim.Kind,
        Cone = firing.Aim.Cone,
        Series = firing.Aim.Series,
        Atmosphere = firing.Aim.Atmosphere,
        ConeIsMeant = firing.Aim.ConeIsMeant,
        State = firing.State,
        Outcome = firing.Outcome,
        StartsAt = firing.StartsAt,
        ScheduleId = firing.ScheduleId?.Value,
        FiringHours = firing.FiringHours,
        CoolingHours = firing.CoolingHours,
        EndsAt = firing.EndsAt,
        HoursBasis = firing.HoursBasis,
        ConeEquivalent = ConeEquivalentContract.At(firing.Aim.Series, firing.Aim.Cone),
        LitAt = firing.LitAt,
        LitWithoutChecks = firing.LitWithoutChecks,
        AnsweredBy = firing.LitAnsweredBy,
        Reached = HeatReachedAnswer.Of(firing),
        UnloadedAt = firing.UnloadedAt,
        HeldUp = HeldUpContract.Of(firing),
        Version = firing.Version,
    };
}

/// <summary>The next state of a firing.</summary>
public sealed record FiringStateBody
{
    /// <summary>The state. It becomes loaded by writing its load, and settled by its settlement.</summary>
    /// <example>accepting</example>
    public required FiringState State { get; init; }

    /// <summary>How it came out; with unloaded. What the firing did to the ware follows from it, and from how hot it became.</summary>
    public FiringOutcome? Outcome { get; init; }

    /// <summary>How hot it became, where it did not come out as meant and you know better than its witness cones and its log; with unloaded.</summary>
    public HeatReachedBody? Reached { get; init; }

    /// <summary>Who answers for lighting it without all checks before lighting; with heating.</summary>
    /// <example>Tilo</example>
    public string? AnsweredBy { get; init; }

    /// <summary>When it was switched on; absent: its log tells. With heating.</summary>
    public Instant? LitAt { get; init; }
}

internal sealed class FiringStateValidator : AbstractValidator<FiringStateBody>
{
    public FiringStateValidator()
    {
        RuleFor(s => s.AnsweredBy).OptionalLine(StudioLimits.MaxName);
        RuleFor(s => s.Reached!).SetValidator(new HeatReachedValidator()).When(s => s.Reached is not null);
    }
}

internal sealed class FiringValidator : AbstractValidator<FiringBody>
{
    public FiringValidator()
    {
        RuleFor(f => f.FiringHours).Within(0.5m, FiringLimits.MostHours, 3);
        RuleFor(f => f.CoolingHours).Within(0.5m, FiringLimits.MostHours, 3);
    }
}
