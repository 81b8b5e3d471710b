namespace KilnShare.Core.Loading.Levels;

/// <summary>The numbers that steer how levels are built. None changes what a plan must satisfy.</summary>
internal static class LevelTuning
{
    /// <summary>The part of a shelf that ware covers in a good plan. Not measured.</summary>
    public const double UsableArea = 0.67;

    /// <summary>The same when all levels are planned at once. Not measured.</summary>
    public const double PlannedArea = 0.69;

    /// <summary>By how much that is varied. Not measured.</summary>
    public const double PlannedAreaSpread = 0.1;

    /// <summary>Heights looked at for one level at most. Not measured.</summary>
    public const int HeightsForOneLevel = 60;

    /// <summary>Partial choices of heights that the beam search keeps. Not measured.</summary>
    public const int BeamWidth = 8;

    /// <summary>Heights that the beam search looks at. Not measured.</summary>
    public const int HeightsInBeam = 20;

    /// <summary>What is filled in thought may turn out otherwise: each height is liked more or less by up to this part. Not measured.</summary>
    public const double HeightLiking = 0.05;

    /// <summary>Later levels are worth less for their height than the best of the first: this part of it. Not measured.</summary>
    public const double HeightFading = 0.9;

    /// <summary>After a squeeze failed, only what is smaller than this part of it is squeezed on the same shelves. Not measured.</summary>
    public const double SmallerThanFailed = 0.95;

    /// <summary>Kinds that find no place before a hole counts as filled. Not measured.</summary>
    public const int MostMisses = 25;

    /// <summary>Directions in which places for posts are looked for, besides those of corners. Not measured.</summary>
    public const int PostRays = 36;

    /// <summary>Steps of one search for posts in the stock at most. Not measured.</summary>
    public const int MostAllotments = 1_000;
}
