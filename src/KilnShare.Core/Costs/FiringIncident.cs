using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>Damage in a firing as the studio wrote it down and settled it among its people.</summary>
public sealed class FiringIncident(
    Id<Studio> studioId, Id<FiringIncident> id, Id<Firing> firingId, Id<Member>? causedBy, IReadOnlyList<Loss> losses, string reason, Id<Member> writtenBy,
        Instant at)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<FiringIncident> Id { get; private set; } = id;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Who makes it good; null: the studio.</summary>
    public Id<Member>? CausedBy { get; private set; } = causedBy;

    /// <summary>What was lost, by whom.</summary>
    public IReadOnlyList<Loss> Losses { get; private set; } = losses;

    /// <summary>What happened, in words.</summary>
    public string Reason { get; private set; } = reason;

    /// <summary>Who wrote it down.</summary>
    public Id<Member> WrittenBy { get; private set; } = writtenBy;

    /// <summary>When.</summary>
    public Instant At { get; private set; } = at;

    /// <summary>Its lines in the ledger.</summary>
    public IReadOnlyList<LedgerEntry> Entries(Currency currency) => new Incident(Id.ToString(), CausedBy?.ToString(), Losses).Entries(At, currency);
}
