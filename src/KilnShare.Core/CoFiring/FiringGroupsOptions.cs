namespace KilnShare.Core.CoFiring;

/// <summary>How hard grouping is tried.</summary>
public sealed record FiringGroupsOptions
{
    /// <summary>Most branchings in one part, before the best found so far is taken; default 200,000.</summary>
    public long MostBranchings { get; init; } = 200_000;

    /// <summary>Seed of a search that uses chance; the plain search uses none. Default 1.</summary>
    public int Seed { get; init; } = 1;
}
