namespace KilnShare.Core.Loading;

/// <summary>How the load search goes about it. The defaults were measured with the benchmark project; none changes what a plan must satisfy.</summary>
public sealed record LoadOptions
{
    /// <summary>Same problem, same seed, same iterations: same plan.</summary>
    public ulong Seed { get; init; } = 1;

    /// <summary>True shares out the room that is left over when everything has its place (<see cref="SharingOut"/>): hands can follow such a plan more easily,
    /// but what is put into it later, without moving anything, finds less room in one piece.</summary>
    public bool Spread { get; init; }

    /// <summary>Distance kept beyond what is asked, µm, so that no rounding shows as a violation.</summary>
    public long MarginMicrometres { get; init; } = 5;

    /// <summary>Steps of one overlap minimisation at most.</summary>
    public int DescentSteps { get; init; } = 120;

    /// <summary>Rounds of minimisation spent on squeezing in one piece while a first plan is made.</summary>
    public int FirstRounds { get; init; } = 2;

    /// <summary>Searches side by side at most, each without more of the least valuable kinds; where there would be fewer than four, there is one search
    /// of all ware.</summary>
    public int MostSearches { get; init; } = 8;

    /// <summary>Rounds spent on squeezing in one piece in the first plans of searches side by side.</summary>
    public int PortfolioRounds { get; init; } = 4;

    /// <summary>Moves tried on the first plan of each of them.</summary>
    public int PortfolioMoves { get; init; } = 2;

    /// <summary>Rounds spent on squeezing in one piece in the search.</summary>
    public int SearchRounds { get; init; } = 6;

    /// <summary>On a plan of one level, of a thousand moves so many bring one waiting piece in by basin hopping; on more levels a sixtieth of that.</summary>
    public int HopsPerThousand { get; init; } = 300;

    /// <summary>Hops of the first such search.</summary>
    public int FirstHops { get; init; } = 20;

    /// <summary>Hops of such a search at most, after many have failed.</summary>
    public int MostHops { get; init; } = 1_500;

    /// <summary>Orders in which the rectangles of a new shelf are tried.</summary>
    public int RectangleStarts { get; init; } = 6;

    /// <summary>Steps of one exchange of rectangles on a shelf.</summary>
    public int Exchanges { get; init; } = 60;

    /// <summary>Tries in a row that may fail before a level counts as full.</summary>
    public int FailuresPerLevel { get; init; } = 6;
}
