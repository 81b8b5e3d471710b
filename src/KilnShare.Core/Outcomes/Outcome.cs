using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Outcomes;

/// <summary>How a piece came out, in one word.</summary>
public enum OutcomeGrade
{
    /// <summary>As hoped, or better.</summary>
    Good,

    /// <summary>Usable, not as hoped.</summary>
    Fair,

    /// <summary>To be fired again or thrown away.</summary>
    Poor,

    /// <summary>Lost.</summary>
    Lost,
}

/// <summary>How one copy came out of one firing.</summary>
public sealed class Outcome(
    Id<Studio> studioId, Id<Outcome> id, Id<Firing> firingId, Id<Piece> pieceId, int copy, OutcomeGrade grade, Instant createdAt) : IEditable, IOutcomeSaid
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<Outcome> Id { get; private set; } = id;

    /// <summary>The firing it came out of.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>The piece.</summary>
    public Id<Piece> PieceId { get; private set; } = pieceId;

    /// <summary>Which copy.</summary>
    public int Copy { get; private set; } = copy;

    /// <summary>In one word.</summary>
    public OutcomeGrade Grade { get; set; } = grade;

    /// <summary>What was seen.</summary>
    public IReadOnlyList<Defect> Defects { get; set; } = [];

    /// <summary>How much of a defect, and where; null where that was not said of any.</summary>
    public IReadOnlyList<DefectDetail>? Details { get; set; }

    /// <summary>What it is like; null where that was not said.</summary>
    public OutcomeLook? Look { get; set; }

    /// <summary>Whether its maker would do it again the same way; null where that was not said.</summary>
    public bool? WouldUseAgain { get; set; }

    /// <summary>Anything else worth knowing next time.</summary>
    public string? Note { get; set; }

    /// <summary>When the ware was looked at; null: when it was written down.</summary>
    public Instant? JudgedAt { get; set; }

    /// <summary>Who wrote it down, or changed it last.</summary>
    public Id<Member> MemberId { get; set; }

    /// <summary>When it was first written down.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>When it was last changed; null where it never was.</summary>
    public Instant? ChangedAt { get; set; }

    /// <inheritdoc/>
    public long Version { get; set; } = 1;
}
