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

/// <summary>What is seen on fired ware. Terms of the trade.</summary>
public enum Defect
{
    /// <summary>Fine cracks in the glaze.</summary>
    Crazing,

    /// <summary>Glaze springs off at edges.</summary>
    Shivering,

    /// <summary>Glaze drew back from bare patches.</summary>
    Crawling,

    /// <summary>Small holes.</summary>
    Pinholing,

    /// <summary>Blisters.</summary>
    Blistering,

    /// <summary>Glaze ran.</summary>
    Running,

    /// <summary>Body swelled.</summary>
    Bloating,

    /// <summary>Out of shape.</summary>
    Warping,

    /// <summary>Cracked through.</summary>
    Cracking,

    /// <summary>Dull, dry, not melted.</summary>
    Underfired,

    /// <summary>Colour not as hoped.</summary>
    ColourOff,

    /// <summary>Stuck to shelf or neighbour.</summary>
    Stuck,

    /// <summary>Burst in the kiln.</summary>
    Burst,
}

/// <summary>How one copy came out of one firing.</summary>
public sealed class Outcome(
    Id<Studio> studioId, Id<Outcome> id, Id<Firing> firingId, Id<Piece> pieceId, int copy, OutcomeGrade grade, Instant createdAt)
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
    public OutcomeGrade Grade { get; private set; } = grade;

    /// <summary>What was seen.</summary>
    public IReadOnlyList<Defect> Defects { get; init; } = [];

    /// <summary>Colour, surface, anything worth knowing next time.</summary>
    public string? Note { get; init; }

    /// <summary>Who wrote it down.</summary>
    public Id<Member> MemberId { get; init; }

    /// <summary>When it was written down.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;
}
