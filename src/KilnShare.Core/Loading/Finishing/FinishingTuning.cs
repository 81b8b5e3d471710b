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

    /// <summary>The part of the work that sharing out may take. Our choice.</summary>
    public const double PartForSharing = 0.1;

    /// <summary>Tries to share out one shelf at least where iterations are the limit: mostly 4 to 13 ms a load, in single runs.</summary>
    public const int LeastTries = 40;

    /// <summary>Tries to share out one shelf at most, so that a large load is not held up. Not measured.</summary>
    public const int MostTries = 1_000;

    /// <summary>Rounds of one guided local search for a greater least distance. Not measured.</summary>
    public const int GuidedRounds = 60;

    /// <summary>A shelf with more on it is left as it is: each distance is kept in mind by itself. Not measured.</summary>
    public const int MostShared = 400;

    /// <summary>Pieces that are farther apart may come nearer to each other for the sake of their distance from the edge, µm. Our choice.</summary>
    public const long PlentyBetween = 40_000;

    /// <summary>By how much all grows in the first try, µm. Not measured.</summary>
    public const double FirstGrowth = 4_000;

    /// <summary>The part of the tries that goes to raising the least distance by guided local search. Not measured.</summary>
    public const double PartForGuided = 0.5;

    /// <summary>So much of a distance may be lost where a row is put in line, µm. Our choice.</summary>
    public const double LostInLine = 50;

    /// <summary>Less than this is not looked for, µm: it is what the figure for hands is rounded to.</summary>
    public const double LeastGrowth = 100;

    /// <summary>What lacks at least this part of what the distance most in the way lacks is jammed. Not measured.</summary>
    public const double JammedPart = 0.05;

    /// <summary>Pieces stand straight at these turns of their shelf, thousandths of a degree.</summary>
    public const int StraightTurns = 45_000;

    /// <summary>So many pieces are straightened one by one where not all can be at once. Not measured.</summary>
    public const int StraightenedSingly = 12;

    /// <summary>Centres so near one line stand in a row, µm: what the figure for hands is rounded to.</summary>
    public const double InLine = 100;
}
