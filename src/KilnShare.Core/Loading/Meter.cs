using KilnShare.Core.Common;

namespace KilnShare.Core.Loading;

/// <summary>Counts iterations of a search (one is one overlap minimisation) and says when to stop.</summary>
internal sealed class Meter(WorkBudget budget)
{
    private bool stopped;
    private double share = 1;
    private bool uncounted;

    /// <summary>Iterations so far; making the first plan is one.</summary>
    public long Iterations { get; private set; }

    /// <summary>True when the budget is used up or the caller has cancelled.</summary>
    public bool Stop => stopped || (stopped = uncounted && budget.Iterations is not null ? budget.Over : IsSpent);

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
        if (!uncounted) Iterations++;
    }

    /// <summary>Makes the first plan, which counts as one iteration.</summary>
    public T MakeFirst<T>(Func<T> make)
    {
        var made = Uncounted(make);
        Iterations++;
        return made;
    }

    /// <summary>Does something in a part of the time there is, so that the rest is left for what comes after it; iterations are all for the search.</summary>
    public T Within<T>(double part, Func<T> make)
    {
        if (budget.Iterations is not null) return make();
        var whole = share;
        Share = whole * part;
        var made = make();
        Share = whole;
        return made;
    }

    /// <summary>Does something that is finished whatever the number of iterations, but not past the time; it counts as none.</summary>
    public T Uncounted<T>(Func<T> make)
    {
        (uncounted, stopped) = (true, false);
        var made = make();
        (uncounted, stopped) = (false, false);
        return made;
    }
}
