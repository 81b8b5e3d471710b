using KilnShare.Core.Common;

namespace KilnShare.Core.Loading;

/// <summary>Counts iterations of a search (one is one overlap minimisation) and says when to stop.</summary>
internal sealed class Meter(WorkBudget budget)
{
    /// <summary>Iterations so far.</summary>
    public long Iterations { get; private set; }

    /// <summary>True when the budget is used up or the caller has cancelled.</summary>
    public bool Stop => Stopped || (Stopped = budget.Spent(Iterations));

    /// <summary>True once the caller has cancelled.</summary>
    public bool Cancelled => budget.Cancelled;

    private bool Stopped { get; set; }

    public void Tick() => Iterations++;
}
