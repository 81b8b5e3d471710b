using KilnShare.Core.Common;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>What a correction made of one copy.</summary>
/// <param name="PieceId">The piece.</param>
/// <param name="Copy">Which copy.</param>
/// <param name="WasIn">It was said to have been in.</param>
/// <param name="IsIn">It was in.</param>
/// <param name="Was">The stage it was said to be at.</param>
/// <param name="Is">The stage it is at.</param>
public sealed record CorrectedCopy(Id<Piece> PieceId, int Copy, bool WasIn, bool IsIn, Stage Was, Stage Is);

/// <summary>What was in a firing and how it came out, taken again after it was unloaded. Written once and never changed.</summary>
public sealed class FiringCorrection(Id<Studio> studioId, Id<FiringCorrection> id, Id<Firing> firingId, string reason, Id<Member> memberId, Instant at)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<FiringCorrection> Id { get; private set; } = id;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Why.</summary>
    public string Reason { get; private set; } = reason;

    /// <summary>Who.</summary>
    public Id<Member> MemberId { get; private set; } = memberId;

    /// <summary>When.</summary>
    public Instant At { get; private set; } = at;

    /// <summary>How the firing was said to have come out.</summary>
    public FiringOutcome OutcomeBefore { get; init; }

    /// <summary>How it came out.</summary>
    public FiringOutcome Outcome { get; init; }

    /// <summary>The copies that this changed.</summary>
    public IReadOnlyList<CorrectedCopy> Copies { get; init; } = [];

    /// <summary>The settlement that came of it; null where the firing was not settled.</summary>
    public int? SettlementRevision { get; init; }
}
