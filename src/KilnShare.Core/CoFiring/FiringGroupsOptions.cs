namespace KilnShare.Core.CoFiring;

/// <summary>How hard grouping is tried.</summary>
public sealed record FiringGroupsOptions
{
    /// <summary>Most branchings in one part, before the best found so far is taken; default 200,000.</summary>
    public long MostBranchings { get; init; } = 200_000;

    /// <summary>
    /// Most work of a constraint solver in one part, in its own deterministic seconds: about seconds, and the same on any machine. Default 10.
    /// </summary>
    public double MostSolverWork { get; init; } = 10;

    /// <summary>Seed of a search that uses chance; the plain search uses none. Default 1.</summary>
    public int Seed { get; init; } = 1;
}
