namespace KilnShare.Core.Loading.Finishing;

/// <summary>How much is done to put a finished load in order. None of it changes what is in the load.</summary>
internal static class FinishingTuning
{
    /// <summary>Rounds over all pairs; few are ever needed. Not measured.</summary>
    public const int GroupingRounds = 4;

    /// <summary>Exchanges looked at closely at most, so that a large load is not held up. Not measured.</summary>
    public const int GroupingLooks = 400;

    /// <summary>Exchanges made at most. Not measured.</summary>
    public const int GroupingTrades = 1_000;

    /// <summary>Rounds over all that were moved; few are ever needed. Not measured.</summary>
    public const int RepairRounds = 4;

    /// <summary>Places looked at closely at most, so that a large load is not held up. Not measured.</summary>
    public const int RepairLooks = 300;

    /// <summary>Items that may make room for one that loses its place to what stood there before. Not measured.</summary>
    public const int RepairNudged = 3;

    /// <summary>Moves tried at most, so that a large load is not held up. Not measured.</summary>
    public const int WishLooks = 400;

    /// <summary>Items of near size tried for an exchange. Not measured.</summary>
    public const int WishOthers = 4;

    /// <summary>Rounds over all that wish. Not measured.</summary>
    public const int WishRounds = 2;

    /// <summary>Items that may make room for one that comes. Not measured.</summary>
    public const int WishNudged = 3;
}
