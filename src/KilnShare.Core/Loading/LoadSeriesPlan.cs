namespace KilnShare.Core.Loading;

/// <summary>Ware in as few loads of one kiln as were found.</summary>
/// <param name="Loads">One after another; copies are numbered over all loads, and each load's figures are of the ware in it.</param>
/// <param name="Unplaced">What goes into no load, and why.</param>
/// <param name="LeastLoads">No series that takes as much has fewer.</param>
/// <param name="Stopped">Proven where there are no more loads than that.</param>
/// <param name="Iterations">How many all searches did together.</param>
public sealed record LoadSeriesPlan(
    IReadOnlyList<LoadPlan> Loads, IReadOnlyList<UnplacedCopies> Unplaced, int LeastLoads, StopReason Stopped, long Iterations);
