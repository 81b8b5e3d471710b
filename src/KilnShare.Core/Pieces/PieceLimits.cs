using KilnShare.Core.Common;

namespace KilnShare.Core.Pieces;

/// <summary>How large ware may be; read by validators, check constraints and the document.</summary>
public static class PieceLimits
{
    /// <summary>Copies of a piece.</summary>
    public const int MaxQuantity = 500;

    /// <summary>Most copies in a batch of pieces, all its lines together.</summary>
    public const int MaxBatchCopies = 2000;

    /// <summary>Layers on a piece.</summary>
    public const int MaxLayers = 20;

    /// <summary>Characters of a glaze's batch.</summary>
    public const int MaxBatch = 60;

    /// <summary>Coats of one layer.</summary>
    public const int MaxCoats = 12;

    /// <summary>Heaviest piece, g.</summary>
    public const int MaxMassG = 500_000;

    /// <summary>Thickest wall, and highest bare foot, mm.</summary>
    public const int MaxWallMm = 500;

    /// <summary>Characters in a mark.</summary>
    public const int MaxMark = 24;

    /// <summary>Longest side of anything.</summary>
    public static readonly Length MaxSide = Length.OfMm(5000);
}
