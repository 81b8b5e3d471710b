using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Levels;

/// <summary>What every part of one search of whole plans shares.</summary>
/// <param name="Instance">The problem prepared.</param>
/// <param name="Options">How to search.</param>
/// <param name="Budget">When to stop.</param>
/// <param name="Random">Where chance comes from.</param>
internal sealed record InstanceContext(LoadInstance Instance, LoadOptions Options, SearchBudget Budget, SeededRandom Random)
    : SearchContext(Options, Budget, Random);
