using KilnShare.Core.Common;

namespace KilnShare.Core.Loading;

/// <summary>Counts iterations of a search (one is one overlap minimisation) and says when to stop.</summary>
internal sealed class Meter(WorkBudget budget)
{
    private bool stopped;
    private double share = 1;

    /// <summary>Iterations so far; making the first plan is one.</summary>
    public long Iterations { get; private set; }

    /// <summary>True while the first plan is made: it is finished whatever the number of iterations, but not past the time.</summary>
    public bool MakesFirstPlan { get; set; }

    /// <summary>True when the budget is used up or the caller has cancelled.</summary>
    public bool Stop => stopped || (stopped = MakesFirstPlan && budget.Iterations is not null ? budget.Cancelled : IsSpent);

    /// <summary>The part of the budget after which to stop, 0 to 1; set anew, the search may go on.</summary>
    public double Share
    {
        set => (share, stopped) = (value, false);
    }

    private bool IsSpent => budget.Spent(Iterations) || (share < 1 && budget.Used(Iterations) >= share);

    /// <summary>True once the caller has cancelled.</summary>
    public bool Cancelled => budget.Cancelled;

    /// <summary>One iteration more.</summary>
    public void Tick()
    {
        if (!MakesFirstPlan) Iterations++;
    }

    /// <summary>Makes the first plan, which counts as one iteration.</summary>
    public T MakeFirst<T>(Func<T> make)
    {
        MakesFirstPlan = true;
        var made = make();
        MakesFirstPlan = false;
        Iterations++;
        return made;
    }
}
