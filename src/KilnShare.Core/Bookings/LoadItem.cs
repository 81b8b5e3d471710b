using KilnShare.Core.Common;
using KilnShare.Core.Cones;
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

    /// <summary>
    /// How far it had come when the firing was unloaded, before the firing counted; null until then, and where it was unloaded before that was kept.
    /// </summary>
    public CopyState? Before { get; set; }

    /// <summary>The ranges of the coats that were on it, lowest first; null where nobody knows it.</summary>
    public IReadOnlyList<ConeRange?> Coats() => [.. Frozen.FiredWare().Layers.Select(l => l.Glaze.Cones)];

    /// <summary>The copy after the firing, by how it came out.</summary>
    public CopyState After(CopyState before, Firing firing) =>
        FiringEffect.On(before, Coats(), firing.Aim, firing.Outcome ?? FiringOutcome.Sound, firing.Heat(), firing.UnloadedAt ?? firing.EndsAt);

    /// <summary>Why it stayed behind; null where it went in.</summary>
    public string? Reason { get; init; }

    /// <summary>The shelf it stood on; null where it stayed behind or was put in without a plan.</summary>
    public int? ShelfNo { get; init; }
}
