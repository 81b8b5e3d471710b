using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Storage.Common;

/// <summary>The answer once given to a member's key: the same key gets the same answer, another body is refused.</summary>
public sealed class IdempotencyRow(Id<Studio> studioId, Id<Member> memberId, string key, byte[] requestHash, int status, string body, Instant createdAt)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The member.</summary>
    public Id<Member> MemberId { get; private set; } = memberId;

    /// <summary>The key the client chose.</summary>
    public string Key { get; private set; } = key;

    /// <summary>SHA-256 of method, path and body.</summary>
    public byte[] RequestHash { get; private set; } = requestHash;

    /// <summary>The status answered.</summary>
    public int Status { get; private set; } = status;

    /// <summary>The JSON answered, without what is told once only.</summary>
    public string Body { get; private set; } = body;

    /// <summary>Where what was made is; null where that was not told.</summary>
    public string? Location { get; private set; }

    /// <summary>The version that was answered; null where what was answered has none.</summary>
    public long? Version { get; private set; }

    /// <summary>When.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;
}

/// <summary>Who did what to which thing, in the transaction of the change.</summary>
public sealed class AuditRow(Id<Studio> studioId, Guid id, Instant at, Id<Member>? memberId, string action, string subject)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity of the row.</summary>
    public Guid Id { get; private set; } = id;

    /// <summary>When.</summary>
    public Instant At { get; private set; } = at;

    /// <summary>Who; null for the service itself.</summary>
    public Id<Member>? MemberId { get; private set; } = memberId;

    /// <summary>What was done, e.g. <c>bookings.create</c>.</summary>
    public string Action { get; private set; } = action;

    /// <summary>To what: its identity.</summary>
    public string Subject { get; private set; } = subject;

    /// <summary>Why, where the one who did it had to say so; null otherwise.</summary>
    public string? Reason { get; init; }
}

/// <summary>An event that leaves the house at least once, with a stable id.</summary>
public sealed class OutboxRow(Id<Studio> studioId, Guid id, Instant at, string kind, string payload)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The stable identity of the event.</summary>
    public Guid Id { get; private set; } = id;

    /// <summary>When it happened.</summary>
    public Instant At { get; private set; } = at;

    /// <summary>What happened.</summary>
    public string Kind { get; private set; } = kind;

    /// <summary>Its JSON.</summary>
    public string Payload { get; private set; } = payload;

    /// <summary>When it was delivered; null while it waits.</summary>
    public Instant? DeliveredAt { get; private set; }
}

/// <summary>Work to be done later, claimed with <c>for update skip locked</c>.</summary>
public sealed class JobRow(Id<Studio> studioId, Guid id, string kind, Guid subject, Instant runAt)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Guid Id { get; private set; } = id;

    /// <summary>What is to be done.</summary>
    public string Kind { get; private set; } = kind;

    /// <summary>With what.</summary>
    public Guid Subject { get; private set; } = subject;

    /// <summary>Not before.</summary>
    public Instant RunAt { get; private set; } = runAt;

    /// <summary>When it was done; null while it waits.</summary>
    public Instant? DoneAt { get; private set; }

    /// <summary>How often it was tried.</summary>
    public int Attempts { get; private set; }
}
