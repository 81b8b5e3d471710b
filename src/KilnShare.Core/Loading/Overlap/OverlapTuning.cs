namespace KilnShare.Core.Loading.Overlap;

/// <summary>The numbers that steer the separation of overlapping items. None changes what a plan must satisfy.</summary>
internal static class OverlapTuning
{
    /// <summary>Length by which a turn in radians is multiplied to be a position, as a part of the item's bound: about what a corner moves. Not
    /// measured.</summary>
    public const double TurnLength = 0.6;

    /// <summary>Items may move by half of this part of their mean bound before pairs are listed anew. Not measured.</summary>
    public const double Skin = 0.25;

    /// <summary>Steps that L-BFGS remembers. Liu and Nocedal (1989) recommend 3 to 7; not measured here.</summary>
    public const int DescentMemory = 6;

    /// <summary>Steps in a row that gain little after which a descent stops. Not measured.</summary>
    public const int MostStalled = 3;

    /// <summary>What is little, as a part of the energy. Not measured.</summary>
    public const double LittleGain = 0.005;

    /// <summary>Times that a step is shortened at most. Not measured.</summary>
    public const int MostShortenings = 8;

    /// <summary>The part of the length that is left of a step at each shortening. Not measured.</summary>
    public const double Shortening = 0.4;

    /// <summary>The part of the decrease that the slope promises which a step must bring: the usual one for L-BFGS. Not measured.</summary>
    public const double LeastDecrease = 1e-4;

    /// <summary>Steps of one item's slide at most. Not measured.</summary>
    public const int SlideSteps = 12;

    /// <summary>The part of the force that a slide begins with, and goes by at most. Not measured.</summary>
    public const double FirstPace = 0.5;

    /// <summary>The part of the force below which a slide ends. Not measured.</summary>
    public const double LeastPace = 0.02;

    /// <summary>By how much a slide's pace grows after a step that helped. Not measured.</summary>
    public const double Faster = 1.4;

    /// <summary>By how much a slide's pace shrinks after a step that did not. Not measured.</summary>
    public const double Slower = 0.4;

    /// <summary>In guided local search the worst item is moved elsewhere each so many-th round. Not measured.</summary>
    public const int RelocationEvery = 3;

    /// <summary>Places tried for it. Not measured.</summary>
    public const int GuidedPlaces = 24;

    /// <summary>By this part the weight of the deepest overlap grows in a round; of others in proportion. Not measured.</summary>
    public const double WeightGrowth = 0.5;

    /// <summary>The greatest weight of a pair; 1 is the first. Not measured.</summary>
    public const double MostPairWeight = 1_000;

    /// <summary>Hops in a row that may fail before the best state is upset. Not measured.</summary>
    public const int HopPatience = 200;

    /// <summary>The part of the least energy that a hop must come below to count as a success: not the same minimum reached a little better. Not
    /// measured.</summary>
    public const double BetterHop = 0.999;

    /// <summary>Changes that upset the best state. Not measured.</summary>
    public const int Upsets = 4;

    /// <summary>Items so many ranks of size apart may change places. Brought nearer once for discs of unequal size; the trial is not recorded.</summary>
    public const int SwapReach = 3;

    /// <summary>Places tried for an item that goes elsewhere in a hop. Not measured.</summary>
    public const int HopPlaces = 60;

    /// <summary>Items drawn of which the one under most pressure is moved. Not measured.</summary>
    public const int PressureDraws = 4;

    /// <summary>Items within so many times the bound of one are shaken with it. Not measured.</summary>
    public const double ShakenWithin = 3;

    /// <summary>By so much of its bound an item is shaken at most. Not measured.</summary>
    public const double ShakenBy = 0.8;
}
