using KilnShare.Core.Common;

namespace KilnShare.Core.Loading;

/// <summary>Why a copy has no place.</summary>
public enum UnplacedReason
{
    /// <summary>Higher than the chamber allows over the lowest shelf.</summary>
    TooTall,

    /// <summary>Lies on no shelf, however turned.</summary>
    TooWide,

    /// <summary>Proven: no plan holds it with what is kept.</summary>
    CannotFit,

    /// <summary>Searched, not proven.</summary>
    NoPlaceFound,
}

/// <summary>Why the search stopped.</summary>
public enum StopReason
{
    /// <summary>The placed value equals the bound; nothing is said of the height.</summary>
    Proven,

    /// <summary>The time or the iterations were used up.</summary>
    SearchEnded,

    /// <summary>The caller cancelled.</summary>
    Cancelled,
}

/// <summary>Where one piece, or a stack of alike copies, stands.</summary>
/// <param name="PieceId">The piece.</param>
/// <param name="Copies">Which copies, the lowest first.</param>
/// <param name="X">Of its footprint's origin.</param>
/// <param name="Y">Of its footprint's origin.</param>
/// <param name="RotationThousandths">Anticlockwise, thousandths of a degree, 0 to 359,999.</param>
/// <param name="OpenAbove">True when it rises past the underside of the next shelf, where a half is missing.</param>
public sealed record Placement(string PieceId, IReadOnlyList<int> Copies, Length X, Length Y, int RotationThousandths, bool OpenAbove);

/// <summary>A shelf in its place with what stands on it.</summary>
/// <param name="Index">Its number, from the lowest.</param>
/// <param name="ShelfId">Its kind.</param>
/// <param name="X">Of its footprint's origin.</param>
/// <param name="Y">Of its footprint's origin.</param>
/// <param name="RotationThousandths">Anticlockwise, thousandths of a degree.</param>
/// <param name="Top">Its upper face over the floor.</param>
/// <param name="ClearAbove">Least clear height over it: to the next shelf, or to the lid less its clearance.</param>
/// <param name="AreaUse">Footprints without gaps, a stack once, over the shelf's area, three decimals.</param>
/// <param name="Placements">What stands on it.</param>
public sealed record PlacedShelf(
    int Index,
    string ShelfId,
    Length X,
    Length Y,
    int RotationThousandths,
    Length Top,
    Length ClearAbove,
    decimal AreaUse,
    IReadOnlyList<Placement> Placements)
{
    /// <summary>
    /// How far hands may be off before two pieces touch: half of the least distance between a piece on it and another that stands beside it, there or on a
    /// shelf next to it, rounded down to a tenth of a millimetre. Pieces that may touch each other do not count; null where no two stand beside each other.
    /// </summary>
    public Length? HandsMayBeOff { get; init; }
}

/// <summary>A post in its place.</summary>
/// <param name="X">Its axis.</param>
/// <param name="Y">Its axis.</param>
/// <param name="From">Its foot over the floor.</param>
/// <param name="To">Its head over the floor: the underside of what it carries.</param>
/// <param name="Heights">Lengths it is made of, the lowest first.</param>
/// <param name="StandsOn">Index of the shelf under its foot; null the floor.</param>
/// <param name="Carries">Indexes of the shelves on it.</param>
public sealed record PlacedPost(
    Length X, Length Y, Length From, Length To, IReadOnlyList<Length> Heights, int? StandsOn, IReadOnlyList<int> Carries);

/// <summary>Copies of one piece without a place.</summary>
/// <param name="PieceId">The piece.</param>
/// <param name="Copies">Which copies.</param>
/// <param name="Reason">Why.</param>
public sealed record UnplacedCopies(string PieceId, IReadOnlyList<int> Copies, UnplacedReason Reason);

/// <summary>Where everything stands: the answer of <see cref="LoadSearch"/>.</summary>
/// <param name="Shelves">From the lowest up.</param>
/// <param name="Posts">From the lowest up.</param>
/// <param name="Unplaced">What has no place, and why.</param>
/// <param name="Top">Top of the highest ware over the floor; zero without ware.</param>
/// <param name="PlacedWeight">Sum of the priorities of the placed copies.</param>
/// <param name="WeightBound">No plan places more.</param>
/// <param name="Stopped">Why the search stopped.</param>
/// <param name="Iterations">How many it did.</param>
public sealed record LoadPlan(
    IReadOnlyList<PlacedShelf> Shelves,
    IReadOnlyList<PlacedPost> Posts,
    IReadOnlyList<UnplacedCopies> Unplaced,
    Length Top,
    decimal PlacedWeight,
    decimal WeightBound,
    StopReason Stopped,
    long Iterations);
