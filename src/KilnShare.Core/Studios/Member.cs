using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Studios;

/// <summary>What a member may do; each role may do what the roles after it may.</summary>
public enum Role
{
    /// <summary>Runs the studio: members, tokens, money.</summary>
    Owner,

    /// <summary>Plans and fires.</summary>
    Technician,

    /// <summary>Makes ware and books room for it.</summary>
    Potter,

    /// <summary>Looks on.</summary>
    Viewer,
}

/// <summary>A person in a studio.</summary>
public sealed class Member(Id<Studio> studioId, Id<Member> id, string name, Role role, Instant createdAt) : IArchivable
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<Member> Id { get; private set; } = id;

    /// <summary>The name others know this person by.</summary>
    public string Name { get; set; } = name;

    /// <summary>What this person may do.</summary>
    public Role Role { get; set; } = role;

    /// <summary>When this person joined.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>When this person left; null while a member.</summary>
    public Instant? ArchivedAt { get; set; }

    /// <summary>Raised by every edit.</summary>
    public long Version { get; set; } = 1;
}
