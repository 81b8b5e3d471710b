using KilnShare.Core.Common;

namespace KilnShare.Core.Loading.Kernel;

/// <summary>Counts iterations of a search (one is one overlap minimisation) and says when to stop.</summary>
internal sealed class SearchBudget(WorkBudget work)
{
    private bool stopped;
    private double share = 1;
    private bool uncounted;

    /// <summary>Iterations so far; making the first plan is one.</summary>
    public long Iterations { get; private set; }

    /// <summary>True when the budget is used up or the caller has cancelled.</summary>
    public bool Stop => stopped || (stopped = uncounted && work.Iterations is not null ? work.Over : IsSpent);

    /// <summary>The part of the budget after which to stop, 0 to 1. Setting it lets a stopped search go on.</summary>
    public double Share
    {
        set => (share, stopped) = (value, false);
    }

    private bool IsSpent => work.Spent(Iterations) || (share < 1 && work.Used(Iterations) >= share);

    /// <summary>True once the caller has cancelled.</summary>
    public bool Cancelled => work.Cancelled;

    /// <summary>One iteration more.</summary>
    public void Tick()
    {
        if (!uncounted) Iterations++;
    }

    /// <summary>Begins the making of a first plan: the number of iterations does not stop it, the time does. It counts as one iteration.</summary>
    public Phase FirstPlan() => Begin(true, share, 1);

    /// <summary>Begins work that the number of iterations does not stop, but a part of the time does. It counts as no iteration.</summary>
    public Phase Uncounted(double part) => Begin(true, share * part, 0);

    /// <summary>Begins work that has only a part of the time, so that the rest is left for what follows. It may use all iterations.</summary>
    public Phase Within(double part) => Begin(false, work.Iterations is null ? share * part : share, 0);

    private Phase Begin(bool isUncounted, double newShare, int iterations)
    {
        var phase = new Phase(this, share, iterations);
        (uncounted, share, stopped) = (isUncounted, newShare, false);
        return phase;
    }

    private void End(double shareBefore, int iterations)
    {
        (uncounted, share, stopped) = (false, shareBefore, false);
        Iterations += iterations;
    }

    /// <summary>A phase of a search with its own rule for when to stop. Disposing of it brings the rule before it back.</summary>
    public readonly struct Phase(SearchBudget budget, double shareBefore, int iterations) : IDisposable
    {
        public void Dispose() => budget.End(shareBefore, iterations);
    }
}
