using System.Text.Json.Serialization;
using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Studios;

/// <summary>What a studio's owner may change.</summary>
public record StudioSettingsContract
{
    /// <summary>What its members call it.</summary>
    /// <example>Riverside shared kilns</example>
    public required string Name { get; init; }

    /// <summary>IANA time zone.</summary>
    /// <example>Europe/Berlin</example>
    public required string TimeZone { get; init; }

    /// <summary>Flat price of a kWh, major units as a decimal string, six places at most.</summary>
    /// <example>0.3120</example>
    public required string PerKwh { get; init; }

    /// <summary>True when a later, smaller booking may pass those who wait for room.</summary>
    public bool AllowsOvertaking { get; init; }

    /// <summary>
    /// Who reads everybody's amounts in what firings cost: technicians (and owners), potters too, or everyone. Otherwise a potter reads their own,
    /// and totals that three members or more share; a viewer none.
    /// </summary>
    /// <example>technicians</example>
    public AmountsShownTo AmountsShownTo { get; init; }
}

/// <summary>A studio to be made, with its first owner.</summary>
public sealed record StudioBody : StudioSettingsContract
{
    /// <summary>ISO 4217 code of the money it keeps its books in; it stays.</summary>
    /// <example>EUR</example>
    public required string Currency { get; init; }

    /// <summary>The first owner's name.</summary>
    /// <example>Ada</example>
    public required string OwnerName { get; init; }
}

/// <summary>A studio.</summary>
public sealed record StudioAnswer : StudioSettingsContract
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>ISO 4217 code.</summary>
    /// <example>EUR</example>
    public required string Currency { get; init; }

    /// <summary>Raised by every edit; also the ETag.</summary>
    public required long Version { get; init; }

    /// <summary>When whoever runs the installation closed it; left out while it is open. A closed studio can be read, and nothing more is written.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Instant? ClosedAt { get; init; }

    /// <summary>Why it was closed; left out while it is open.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? ClosedReason { get; init; }

    /// <summary>The answer for a studio.</summary>
    public static StudioAnswer Of(Studio studio) => new()
    {
        Id = studio.StudioId.Value,
        Name = studio.Name,
        TimeZone = studio.TimeZone,
        Currency = studio.Currency,
        PerKwh = Prices.Write(studio.PerKwh),
        AllowsOvertaking = studio.AllowsOvertaking,
        AmountsShownTo = studio.AmountsShownTo,
        Version = studio.Version,
        ClosedAt = studio.ClosedAt,
        ClosedReason = studio.ClosedReason,
    };
}

/// <summary>A studio just made, its owner and the owner's token, which is shown this once.</summary>
public sealed record StudioMade
{
    /// <summary>The studio.</summary>
    public required StudioAnswer Studio { get; init; }

    /// <summary>Its first owner.</summary>
    public required MemberAnswer Owner { get; init; }

    /// <summary>The owner's token. Keep it: it is not shown again.</summary>
    public required string Token { get; init; }
}

/// <summary>A member to be taken in.</summary>
public record MemberBody
{
    /// <summary>The name others know this person by.</summary>
    /// <example>Bo</example>
    public required string Name { get; init; }

    /// <summary>What this person may do.</summary>
    /// <example>potter</example>
    public required Role Role { get; init; }
}

/// <summary>A member.</summary>
public sealed record MemberAnswer : MemberBody
{
    /// <summary>The identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>Raised by every edit; also the ETag.</summary>
    public required long Version { get; init; }

    /// <summary>The answer for a member.</summary>
    public static MemberAnswer Of(Member member) => new() { Id = member.Id.Value, Name = member.Name, Role = member.Role, Version = member.Version };
}

/// <summary>A token to be made.</summary>
public sealed record TokenBody
{
    /// <summary>What it is used for.</summary>
    /// <example>phone</example>
    public required string Label { get; init; }

    /// <summary>From when it is refused; absent: until revoked.</summary>
    public Instant? ExpiresAt { get; init; }
}

/// <summary>A token just made; its text is shown this once.</summary>
public sealed record TokenMade
{
    /// <summary>Its identity, by which it is revoked.</summary>
    public required Guid Id { get; init; }

    /// <summary>What it is used for.</summary>
    public required string Label { get; init; }

    /// <summary>From when it is refused.</summary>
    public required Instant? ExpiresAt { get; init; }

    /// <summary>The token. Keep it: it is not shown again, and null where the answer is given again under its Idempotency-Key.</summary>
    public required string? Token { get; init; }
}

/// <summary>A token as it is listed: never its text.</summary>
public sealed record TokenAnswer
{
    /// <summary>Its identity, by which it is revoked.</summary>
    public required Guid Id { get; init; }

    /// <summary>What it is used for.</summary>
    /// <example>phone</example>
    public required string Label { get; init; }

    /// <summary>When it was made.</summary>
    public required Instant CreatedAt { get; init; }

    /// <summary>From when it is refused; null: until revoked.</summary>
    public required Instant? ExpiresAt { get; init; }

    /// <summary>When it was revoked; null while it is not.</summary>
    public required Instant? RevokedAt { get; init; }

    /// <summary>The answer for a token.</summary>
    public static TokenAnswer Of(AccessToken token) => new()
    {
        Id = token.Id.Value,
        Label = token.Label,
        CreatedAt = token.CreatedAt,
        ExpiresAt = token.ExpiresAt,
        RevokedAt = token.RevokedAt,
    };
}

/// <summary>Who the token is.</summary>
public sealed record WhoAnswer
{
    /// <summary>The studio.</summary>
    public required Guid StudioId { get; init; }

    /// <summary>The member.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>The member's name.</summary>
    public required string Name { get; init; }

    /// <summary>The member's role.</summary>
    public required Role Role { get; init; }
}

internal abstract class StudioSettingsValidator<T> : AbstractValidator<T>
    where T : StudioSettingsContract
{
    protected StudioSettingsValidator()
    {
        RuleFor(s => s.Name).Name();
        RuleFor(s => s.TimeZone).Line(StudioLimits.MaxTimeZone);
        RuleFor(s => s.TimeZone).Must(z => DateTimeZoneProviders.Tzdb.GetZoneOrNull(z) is not null)
            .WithErrorCode("studios.no-such-zone").WithMessage("Takes an IANA time zone such as Europe/Berlin.");
        RuleFor(s => s.PerKwh).Price(StudioLimits.MaxPerKwh);
    }
}

internal sealed class StudioSettingsValidator : StudioSettingsValidator<StudioSettingsContract>;

internal sealed class StudioValidator : StudioSettingsValidator<StudioBody>
{
    public StudioValidator()
    {
        RuleFor(s => s.OwnerName).Name();
        RuleFor(s => s.Currency).CurrencyCode();
    }
}

internal sealed class MembersValidator : BatchValidator<MemberBody>;

internal sealed class MemberValidator : AbstractValidator<MemberBody>
{
    public MemberValidator() => RuleFor(m => m.Name).Name();
}

internal sealed class TokenValidator : AbstractValidator<TokenBody>
{
    public TokenValidator() => RuleFor(t => t.Label).Name();
}
