using KilnShare.Core.Common;
using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>How long the room of one shelf may be shared out, and how.</summary>
/// <param name="Options">How to search.</param>
/// <param name="Work">An iteration is one overlap minimisation.</param>
/// <param name="Random">Where chance comes from.</param>
internal sealed record SlackWork(LoadOptions Options, WorkBudget Work, SeededRandom Random)
{
    /// <summary>What all tries share.</summary>
    public SearchContext Context() => new(Options, new SearchBudget(Work), Random);

    /// <summary>What guided local search has beside that, from now on.</summary>
    public SearchContext Guided()
    {
        var iterations = (long)(FinishingTuning.PartForGuided * Work.Iterations!.Value);
        return new SearchContext(Options, new SearchBudget(Work.PartOfRest(FinishingTuning.PartForGuided).AtMost(iterations)), Random);
    }
}
