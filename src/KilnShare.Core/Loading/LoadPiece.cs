using KilnShare.Core.Common;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading;

/// <summary>How alike copies may stand on each other.</summary>
/// <param name="Most">Copies in one stack at most, the lowest included.</param>
/// <param name="Add">What each further copy adds to the height.</param>
public sealed record StackRule(int Most, Length Add);

/// <summary>Alike ware to be placed.</summary>
/// <param name="Id">Its name within the problem.</param>
/// <param name="Footprint">Its outline from above.</param>
/// <param name="Height">From foot to top.</param>
/// <param name="MassG">Mass of one copy, g; null when not known, and then it does not count for balance.</param>
/// <param name="Quantity">How many copies.</param>
/// <param name="Priority">Value of one copy: the search places as much value as it can.</param>
/// <param name="MayTurn">False keeps rotation 0.</param>
/// <param name="Touch">True on two pieces: no gap is owed between them.</param>
/// <param name="Stack">How copies may stand on each other; null when they may not.</param>
/// <param name="Group">Whose it is, to keep ware together where it costs nothing; null when that does not matter.</param>
public sealed record LoadPiece(
    string Id,
    Footprint Footprint,
    Length Height,
    decimal? MassG,
    int Quantity,
    decimal Priority,
    bool MayTurn,
    bool Touch,
    StackRule? Stack,
    string? Group)
{
    /// <summary>Where in the kiln it would rather stand; null where that does not matter.</summary>
    public Heat? Wish { get; init; }
}

/// <summary>How hot a part of a kiln fires against the rest of it.</summary>
public enum Heat
{
    /// <summary>Cooler than most of the kiln.</summary>
    Cool,

    /// <summary>Hotter than most of the kiln.</summary>
    Hot,
}

/// <summary>A part of the chamber's height that witness cones show to fire hotter or cooler.</summary>
/// <param name="From">Its lower end over the floor.</param>
/// <param name="To">Its upper end over the floor.</param>
/// <param name="Heat">How it fires.</param>
public sealed record HeatZone(Length From, Length To, Heat Heat);

/// <summary>A copy that stays where the start plan has it.</summary>
/// <param name="PieceId">The piece.</param>
/// <param name="Copy">The copy, from 0.</param>
public sealed record PinnedCopy(string PieceId, int Copy);

/// <summary>What of the start plan stays in place.</summary>
public enum Keep
{
    /// <summary>Nothing; the start is only a hint.</summary>
    None,

    /// <summary>The copies named as pinned.</summary>
    Pinned,

    /// <summary>All of it; only free room is used.</summary>
    All,
}
