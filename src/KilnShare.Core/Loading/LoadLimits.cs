namespace KilnShare.Core.Loading;

/// <summary>What a load problem may hold at most. Validators, schema and the problem's factory read these.</summary>
public static class LoadLimits
{
    /// <summary>Copies of all pieces together.</summary>
    public const int MaxCopies = 2_000;

    /// <summary>Iterations of one search times its copies: what the quickest ware comes to in ten seconds (rectangles, measured).</summary>
    public const long MaxWork = 100_000_000;

    /// <summary>Shelves of all kinds together.</summary>
    public const int MaxShelves = 200;

    /// <summary>Posts of all lengths together.</summary>
    public const int MaxPosts = 10_000;

    /// <summary>Keep-outs.</summary>
    public const int MaxKeepOuts = 200;

    /// <summary>Heat zones.</summary>
    public const int MaxHeatZones = 50;

    /// <summary>The longest length of anything, µm: 5 m.</summary>
    public const long MaxLengthMicrometres = 5_000_000;

    /// <summary>The greatest priority.</summary>
    public const decimal MaxPriority = 1_000m;

    /// <summary>Decimals of a priority.</summary>
    public const int PriorityDecimals = 4;

    /// <summary>Fewest corners of a polygon.</summary>
    public const int MinPolygonPoints = 3;

    /// <summary>Most corners of a polygon.</summary>
    public const int MaxPolygonPoints = 64;

    /// <summary>The greatest mass of one thing, g: 1 t.</summary>
    public const decimal MaxMassG = 1_000_000m;

    /// <summary>The lowest shelf that stands on posts is at least so high over the floor, µm: 12 mm.</summary>
    public const long LowestPostMicrometres = 12_000;

    /// <summary>Posts that may be stacked to make one.</summary>
    public const int MaxStackedPosts = 2;

    /// <summary>Fewest posts under a shelf.</summary>
    public const int MinPostsUnderShelf = 3;

    /// <summary>A post stands so near the axis of a post below at most, µm: 5 mm.</summary>
    public const long PostAxisToleranceMicrometres = 5_000;

    /// <summary>The centre of mass of a shelf and its ware lies so far inside the hull of its posts at least, µm: 10 mm.</summary>
    public const long BalanceMarginMicrometres = 10_000;

    /// <summary>Mass of a shelf by its volume where none is given, kg/m³.</summary>
    public const decimal ShelfDensityKgPerM3 = 2_000m;
}
