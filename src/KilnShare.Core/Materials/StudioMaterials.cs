using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Materials;

/// <summary>A clay body as a studio keeps it.</summary>
public sealed class StudioClay(Id<Studio> studioId, Id<StudioClay> id, ClayBody body, Instant createdAt) : IMaterial
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<StudioClay> Id { get; private set; } = id;

    /// <summary>What is known of it.</summary>
    public ClayBody Body { get; set; } = body;

    /// <inheritdoc/>
    public string Name => Body.Name;

    /// <inheritdoc/>
    public Id<Member>? MemberId { get; private set; }

    /// <summary>When it was written down.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>From when it is no longer offered; null while in use.</summary>
    public Instant? ArchivedAt { get; set; }

    /// <summary>Raised by every edit.</summary>
    public long Version { get; set; } = 1;

    /// <summary>The same as a member's own.</summary>
    public StudioClay OwnOf(Id<Member> member)
    {
        MemberId = member;
        return this;
    }

    /// <inheritdoc/>
    public void TakeIn() => MemberId = null;
}

/// <summary>A glaze as a studio keeps it.</summary>
public sealed class StudioGlaze(Id<Studio> studioId, Id<StudioGlaze> id, Glaze glaze, Instant createdAt) : IMaterial
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<StudioGlaze> Id { get; private set; } = id;

    /// <summary>What is known of it.</summary>
    public Glaze Glaze { get; set; } = glaze;

    /// <inheritdoc/>
    public string Name => Glaze.Name;

    /// <inheritdoc/>
    public Id<Member>? MemberId { get; private set; }

    /// <summary>When it was written down.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>From when it is no longer offered; null while in use.</summary>
    public Instant? ArchivedAt { get; set; }

    /// <summary>Raised by every edit.</summary>
    public long Version { get; set; } = 1;

    /// <summary>The same as a member's own.</summary>
    public StudioGlaze OwnOf(Id<Member> member)
    {
        MemberId = member;
        return this;
    }

    /// <inheritdoc/>
    public void TakeIn() => MemberId = null;
}
