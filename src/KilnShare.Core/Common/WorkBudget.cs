namespace KilnShare.Core.Common;

/// <summary>
/// How long a search may go on: a number of iterations (the same answer on any machine) or a time by a clock that is passed in,
/// and in both cases until it is cancelled.
/// </summary>
public sealed class WorkBudget
{
    private readonly TimeProvider? clock;
    private readonly TimeSpan limit;
    private readonly long start;
    private readonly CancellationToken cancel;

    private WorkBudget(long? iterations, TimeProvider? clock, TimeSpan limit, CancellationToken cancel)
    {
        Iterations = iterations;
        this.clock = clock;
        this.limit = limit;
        this.cancel = cancel;
        start = clock?.GetTimestamp() ?? 0;
    }

    /// <summary>The greatest number of iterations; null where time is the limit.</summary>
    public long? Iterations { get; }

    /// <summary>True once the caller has cancelled.</summary>
    public bool Cancelled => cancel.IsCancellationRequested;

    /// <summary>So many iterations, whatever they take.</summary>
    public static WorkBudget OfIterations(long iterations, CancellationToken cancel) => new(iterations, null, TimeSpan.Zero, cancel);

    /// <summary>So much time by <paramref name="clock"/>, counted from now.</summary>
    public static WorkBudget OfTime(TimeSpan limit, TimeProvider clock, CancellationToken cancel) => new(null, clock, limit, cancel);

    /// <summary>Time used so far; zero where iterations are the limit.</summary>
    public TimeSpan Elapsed => clock is null ? TimeSpan.Zero : clock.GetElapsedTime(start);

    /// <summary>The part of the time used, 0 to 1 and beyond; for iterations, the part of them.</summary>
    public double Used(long iterations) => clock is null ? (double)iterations / Math.Max(1, Iterations!.Value) : Elapsed / limit;

    /// <summary>True when the search must stop now.</summary>
    public bool Spent(long iterations) => Cancelled || (clock is null ? iterations >= Iterations!.Value : Elapsed >= limit);
}
