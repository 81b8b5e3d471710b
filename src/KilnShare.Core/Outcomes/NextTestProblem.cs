namespace KilnShare.Core.Outcomes;

/// <summary>Something that may be tried: a glaze in so many coats, on the clay that is asked about, with what is known of it.</summary>
/// <param name="Glaze">The glaze.</param>
/// <param name="Coats">How many coats.</param>
/// <param name="Known">What its firings so far say of the outcome that is asked about.</param>
public sealed record TestCandidate(string Glaze, int Coats, IReadOnlyList<FiringCount> Known);

/// <summary>What the next tests are to tell.</summary>
/// <param name="Candidates">Between which the choice is.</param>
/// <param name="Pieces">How many pieces there are.</param>
/// <param name="Firings">Over how many firings they are spread.</param>
/// <param name="Levels">Over how many levels of each firing they are spread.</param>
/// <param name="Seed">Of the order in which places are given.</param>
public sealed record NextTestProblem(IReadOnlyList<TestCandidate> Candidates, int Pieces, int Firings, int Levels, int Seed)
{
    /// <summary>Most pieces that are planned at once.</summary>
    public const int MostPieces = 200;

    /// <summary>Most firings they are spread over.</summary>
    public const int MostFirings = 10;

    /// <summary>Most levels of a firing.</summary>
    public const int MostLevels = 10;

    /// <summary>True where the outcome is to come as often as can be, as sound ware; false where it is to come as seldom as can be, as a defect.</summary>
    public bool IsWanted { get; init; } = true;
}

/// <summary>How many pieces of a candidate are to be fired next, and why.</summary>
/// <param name="Candidate">The candidate.</param>
/// <param name="Pieces">How many.</param>
/// <param name="Rate">The rate that is believed of it by now, as a part of 1.</param>
/// <param name="Reason">Why, in a sentence.</param>
public sealed record NextTest(TestCandidate Candidate, int Pieces, double Rate, string Reason);

/// <summary>Where a test piece is to stand.</summary>
/// <param name="Firing">In which of the firings, from 0.</param>
/// <param name="Level">On which of its levels, from 0, the lowest.</param>
/// <param name="Candidate">Which candidate it is, by its place in the list.</param>
public sealed record TestPlace(int Firing, int Level, int Candidate);
