using System.Text.Json.Serialization;
using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Studios;

namespace KilnShare.Api.Studios;

/// <summary>Who is to get an owner's token, and why.</summary>
public sealed record OwnerTokenBody
{
    /// <summary>Why the studio needs it; all its owners are told that it was made.</summary>
    /// <example>the owner's telephone is lost, and with it the only token</example>
    public required string Reason { get; init; }

    /// <summary>The member it is for, who becomes an owner if need be; absent: the owner who has been there longest.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public Guid? MemberId { get; init; }

    /// <summary>The name of a new owner to take in, where nobody who is there is to be one. Not beside memberId.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? OwnerName { get; init; }
}

/// <summary>An owner's token just made; its text is shown this once.</summary>
public sealed record OwnerTokenMade
{
    /// <summary>The owner it is for.</summary>
    public required MemberAnswer Owner { get; init; }

    /// <summary>Its identity, by which it is revoked.</summary>
    public required Guid Id { get; init; }

    /// <summary>The token. Keep it: it is not shown again.</summary>
    public required string Token { get; init; }
}

/// <summary>Whether a studio is closed.</summary>
public sealed record StudioClosureContract
{
    /// <summary>Why it is closed; null opens it again.</summary>
    /// <example>the group has dissolved</example>
    public required string? ClosedReason { get; init; }
}

/// <summary>The installation's new token, shown this once.</summary>
public sealed record InstallationTokenMade
{
    /// <summary>The token. Put it in place of the old one in the settings too: the old one counts no more.</summary>
    public required string Token { get; init; }
}

internal sealed class OwnerTokenValidator : AbstractValidator<OwnerTokenBody>
{
    public OwnerTokenValidator()
    {
        RuleFor(t => t.Reason).Line(StudioLimits.MaxNote);
        RuleFor(t => t.OwnerName).OptionalLine(StudioLimits.MaxName);
        RuleFor(t => t.OwnerName).Must((t, name) => name is null || t.MemberId is null).WithMessage("Give memberId or ownerName, not both.");
    }
}

internal sealed class StudioClosureValidator : AbstractValidator<StudioClosureContract>
{
    public StudioClosureValidator() => RuleFor(c => c.ClosedReason).OptionalLine(StudioLimits.MaxNote);
}
