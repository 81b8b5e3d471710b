using KilnShare.Core.Common;

namespace KilnShare.Core.Firings;

/// <summary>Which state may follow which.</summary>
public static class FiringStates
{
    private static readonly Dictionary<FiringState, FiringState[]> Next = new()
    {
        [FiringState.Draft] = [FiringState.Accepting, FiringState.Cancelled],
        [FiringState.Accepting] = [FiringState.Fixed, FiringState.Draft, FiringState.Cancelled],
        [FiringState.Fixed] = [FiringState.Accepting, FiringState.Loaded, FiringState.Cancelled],
        [FiringState.Loaded] = [FiringState.Heating, FiringState.Fixed, FiringState.Cancelled],
        [FiringState.Heating] = [FiringState.Cooling],
        [FiringState.Cooling] = [FiringState.Unloaded],
        [FiringState.Unloaded] = [FiringState.Settled],
        [FiringState.Settled] = [],
        [FiringState.Cancelled] = [],
    };

    /// <summary>Refuses a step that does not follow, saying which do.</summary>
    public static Refusal? Check(FiringState from, FiringState to) =>
        Next[from].Contains(to) ? null : Refusal.Conflict(
            "firings.no-such-step",
            $"A firing that is {Word(from)} cannot become {Word(to)}. "
                + $"{(Next[from].Length == 0 ? "Nothing follows." : $"What can follow: {string.Join(", ", Next[from].Select(Word))}.")}",
            "/state");

    /// <summary>The state's word as it stands in JSON.</summary>
    public static string Word(FiringState state) => state.ToString().ToLowerInvariant();
}
