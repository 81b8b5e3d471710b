namespace KilnShare.Core.Costs;

/// <summary>The largest a cost split takes; validator and schema read them from here.</summary>
public static class CostLimits
{
    /// <summary>Members in one split: as many as copies go into one firing.</summary>
    public const int MostMembers = 2_000;

    /// <summary>Parts times members of one calculation, so that its answer is never large.</summary>
    public const int MostShares = 10_000;

    /// <summary>Levels times members of one calculation.</summary>
    public const int MostHeights = 20_000;

    /// <summary>Parts in one split.</summary>
    public const int MostParts = 200;

    /// <summary>Levels of a load.</summary>
    public const int MostLevels = 200;

    /// <summary>Minor units of one part, either way, and of the minimum; 10^15 times <see cref="MostParts"/> still fits 64 bits.</summary>
    public const long MostMinor = 1_000_000_000_000_000;

    /// <summary>The largest area, volume, mass, heat or height of one member.</summary>
    public const decimal MostWeight = 1_000_000_000_000m;

    /// <summary>Decimals of an area, volume, mass, heat or height.</summary>
    public const int WeightDecimals = 3;

    /// <summary>The name of the part by which those below the minimum are raised; no other part may bear it.</summary>
    public const string MinimumPart = "minimum";
}
