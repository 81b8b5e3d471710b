namespace KilnShare.Core.Loading.Kernel;

/// <summary>What every part of one search shares.</summary>
/// <param name="Options">How to search.</param>
/// <param name="Budget">When to stop.</param>
/// <param name="Random">Where chance comes from. Parts that share it must be run in the same order for the same plan.</param>
internal record SearchContext(LoadOptions Options, SearchBudget Budget, SeededRandom Random);
