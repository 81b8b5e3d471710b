using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Pieces;

/// <summary>What happened to a copy on the studio's racks.</summary>
public enum CustodyKind
{
    /// <summary>Its maker left it on a rack.</summary>
    HandedIn,

    /// <summary>A loader felt it and found it dry through.</summary>
    FoundDry,

    /// <summary>A loader felt it and found it damp.</summary>
    FoundDamp,

    /// <summary>Its maker took it home.</summary>
    Collected,

    /// <summary>It broke before its next firing: dried too fast, fell, or was knocked.</summary>
    Broke,

    /// <summary>It was written down as broken by mistake.</summary>
    FoundWhole,
}

/// <summary>One copy changing hands, or being felt by the loader: who, when, on which rack.</summary>
public sealed class CustodyEvent(Id<Studio> studioId, Id<CustodyEvent> id, Id<Piece> pieceId, int copy, CustodyKind kind, Instant at, Id<Member> memberId)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<CustodyEvent> Id { get; private set; } = id;

    /// <summary>The piece.</summary>
    public Id<Piece> PieceId { get; private set; } = pieceId;

    /// <summary>Which copy.</summary>
    public int Copy { get; private set; } = copy;

    /// <summary>What happened.</summary>
    public CustodyKind Kind { get; private set; } = kind;

    /// <summary>When.</summary>
    public Instant At { get; private set; } = at;

    /// <summary>Who wrote it down.</summary>
    public Id<Member> MemberId { get; private set; } = memberId;

    /// <summary>Which rack; null where it was not said.</summary>
    public string? Rack { get; init; }

    /// <summary>How it happened, or anything else worth knowing; null where nothing was said.</summary>
    public string? Note { get; init; }

    /// <summary>What the copy had been fired to when it broke; null for all else.</summary>
    public Stage? StageBefore { get; init; }
}
