namespace KilnShare.Core.Loading.Search;

/// <summary>The numbers that steer the search of whole plans. None changes what a plan must satisfy.</summary>
internal static class SearchTuning
{
    /// <summary>The part of a plan's value by which the next may be worth less and still be gone on from, at most. Not measured.</summary>
    public const double Leniency = 0.006;

    /// <summary>Moves without a better plan after which a search goes back to its best. Not measured.</summary>
    public const int Patience = 150;

    /// <summary>The same where as little as can be is to move from a start plan. Not measured.</summary>
    public const int PatienceFromStart = 20;

    /// <summary>While everything is placed under a lower lid: the part by which more area may wait, at most. Not measured.</summary>
    public const double LeniencyOfArea = 0.1;

    /// <summary>While everything is placed under a lower lid: so many times the patience until levels are cut anew. Not measured.</summary>
    public const int PatiencesUnderLid = 2;

    /// <summary>Step of the loss that a chain may bring, as a part of the plan's value: each further step is half as likely. Not measured.</summary>
    public const double LossOfChain = 0.00013;

    /// <summary>The same for the other moves, which change more. Not measured.</summary>
    public const double LossOfOthers = 0.0003;

    /// <summary>Ejection chains in a thousand moves on several levels. What is refilled is the rest. Not measured.</summary>
    public const int Chains = 800;

    /// <summary>Basin hops in a thousand of those moves. Not measured.</summary>
    public const int Hops = 1;

    /// <summary>Squeezes in a thousand of those moves. Not measured.</summary>
    public const int Squeezes = 10;

    /// <summary>Swaps in a thousand of those moves. Not measured.</summary>
    public const int Swaps = 38;

    /// <summary>Items in one chain at most. Not measured.</summary>
    public const int LongestChain = 3;

    /// <summary>Rounds of minimisation for one item of a chain. Not measured.</summary>
    public const int ChainRounds = 3;

    /// <summary>An item may take the place of one of so much of its area at most: the ratio of areas. Not measured.</summary>
    public const double MostLarger = 1.15;

    /// <summary>The same at least. Not measured.</summary>
    public const double MostSmaller = 0.7;

    /// <summary>Swaps looked at, of which the one that promises most is tried. Not measured.</summary>
    public const int SwapDraws = 5;

    /// <summary>An item that waits gets so much of its own area cleared at least: less than all where others can be pushed aside. Not measured.</summary>
    public const double LeastCleared = 0.5;

    /// <summary>The same at most. Not measured.</summary>
    public const double MostCleared = 1.3;

    /// <summary>By how much the order of filling varies after a swap, as a part of what is preferred. Not measured.</summary>
    public const double SwapNoise = 0.3;

    /// <summary>Squeezes that may fail after a swap. Not measured.</summary>
    public const int SwapFailures = 1;

    /// <summary>Items taken off for a refill at most. Not measured.</summary>
    public const int MostTaken = 4;

    /// <summary>The same of rectangles. Not measured.</summary>
    public const int MostRectanglesTaken = 7;

    /// <summary>In a refill an item may take so many times the area that was cleared, with what was free around it. Not measured.</summary>
    public const double Roomier = 1.5;

    /// <summary>By how much the order of a refill varies, as a part of what is preferred. Not measured.</summary>
    public const double RefillNoise = 0.6;

    /// <summary>Squeezes that may fail in a refill. Not measured.</summary>
    public const int RefillFailures = 2;

    /// <summary>Levels that are rebuilt at once at most. Not measured.</summary>
    public const int MostLevelsRebuilt = 3;

    /// <summary>By how much the order of a rebuild varies, as a part of what is preferred. Not measured.</summary>
    public const double RebuildNoise = 0.3;

    /// <summary>Where posts could stand otherwise, each so many-th rebuild begins on the floor. Not measured.</summary>
    public const int RebuildsToOneWhole = 8;

    /// <summary>Refills for each new level before it is compared with what has been improved for long. Not measured.</summary>
    public const int RefillsPerNewLevel = 3;

    /// <summary>Moves by which a newcomer to the race is improved before it is compared. Not measured.</summary>
    public const int ChangesOfNewcomer = 100;

    /// <summary>Iterations of the first stretch of the race. Not measured.</summary>
    public const long FirstStretch = 600;

    /// <summary>Of so many runs one goes on to the next stretch, which makes its way as many times as long. Not measured.</summary>
    public const int RunsToOne = 3;

    /// <summary>The best run has so many times the work of the newcomers. Not measured.</summary>
    public const int LeadersWork = 2;

    /// <summary>Runs that wait at the end of a stretch at most; the one worth least leaves. Not measured.</summary>
    public const int MostWaiting = 8;

    /// <summary>Moves without a better plan after which a run goes back to its best. Not measured.</summary>
    public const int PatienceOfRun = 500;

    /// <summary>Iterations of one search of the portfolio in a lap. Not measured.</summary>
    public const long Lap = 7;

    /// <summary>Laps on one level; then the best goes on alone. Not measured.</summary>
    public const int Laps = 300;

    /// <summary>Laps on several levels: fewer, since the best alone changes levels too. Not measured.</summary>
    public const int LapsOnLevels = 10;

    /// <summary>Searches of a portfolio at least; where there would be fewer there is none. Not measured.</summary>
    public const int LeastSearches = 4;

    /// <summary>Copies that all searches of a portfolio may have together, so that first plans do not take long. Not measured.</summary>
    public const int CopiesInAll = 400;

    /// <summary>First plans built in orders drawn by chance, beside those in the orders preferred. Not measured.</summary>
    public const int OrdersDrawn = 4;

    /// <summary>By how much these orders differ from what is preferred, as a part of it. Not measured.</summary>
    public const double NoiseOfOrders = 0.5;

    /// <summary>The part of the budget spent on searching on from a start plan; the rest is for a plan from nothing, which moves everything. Not
    /// measured.</summary>
    public const double ShareFromStart = 0.5;

    /// <summary>The part of the time kept for putting ware back and meeting wishes, where there is something of that to do. Not measured.</summary>
    public const double PartForOrder = 0.1;

    /// <summary>What falls to each kind of move, in a thousand: hops are drawn first, then squeezes and rebuilds, then swaps; refills are the rest.</summary>
    public readonly record struct Chances(int Hops, int Squeezes, int Rebuilds, int Swaps);

    /// <summary>Where most ware is rectangles, which are exchanged instead of refilled. Not measured.</summary>
    public static Chances OfRectangles(bool severalLevels) => new(0, 1, severalLevels ? 20 : 1, 0);

    /// <summary>Where all are worth the same, or little is to move. Not measured.</summary>
    public static Chances OfEqualValues(LoadOptions options, bool severalLevels, bool severalLayouts, bool fromStart) => new(
        severalLevels ? options.HopsPerThousand / 60 : options.HopsPerThousand,
        severalLevels && !fromStart ? 50 : 300,
        severalLevels || severalLayouts ? 100 : 20,
        0);

    /// <summary>Where values differ. Not measured.</summary>
    public static Chances OfValues(bool severalLevels, bool severalLayouts) =>
        severalLevels ? new(5, 50, 50, 200) : new(15, 50, severalLayouts ? 100 : 20, 850);
}
