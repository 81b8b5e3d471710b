using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Bookings;

/// <summary>What became of a copy when the kiln was loaded.</summary>
public enum LoadFate
{
    /// <summary>It went in.</summary>
    Placed,

    /// <summary>It stayed behind, with a reason.</summary>
    LeftBehind,
}

/// <summary>A line of the real load: what really went in, and what stayed behind.</summary>
public sealed class LoadItem(Id<Studio> studioId, Id<Firing> firingId, Id<Piece> pieceId, int copy, LoadFate fate, FrozenCopy frozen)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>The piece.</summary>
    public Id<Piece> PieceId { get; private set; } = pieceId;

    /// <summary>Which copy.</summary>
    public int Copy { get; private set; } = copy;

    /// <summary>What became of it.</summary>
    public LoadFate Fate { get; private set; } = fate;

    /// <summary>The copy as it was.</summary>
    public FrozenCopy Frozen { get; private set; } = frozen;

    /// <summary>Why it stayed behind; null where it went in.</summary>
    public string? Reason { get; init; }

    /// <summary>The shelf it stood on; null where it stayed behind or was put in without a plan.</summary>
    public int? ShelfNo { get; init; }
}
