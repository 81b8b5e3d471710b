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

    private WorkBudget(long? iterations, TimeProvider? clock, TimeSpan limit, long start, CancellationToken cancel)
    {
        Iterations = iterations;
        this.clock = clock;
        this.limit = limit;
        this.start = start;
        this.cancel = cancel;
    }

    /// <summary>The greatest number of iterations; null where only time is the limit.</summary>
    public long? Iterations { get; }

    /// <summary>True once the caller has cancelled.</summary>
    public bool Cancelled => cancel.IsCancellationRequested;

    /// <summary>So many iterations, whatever they take.</summary>
    public static WorkBudget OfIterations(long iterations, CancellationToken cancel) => new(iterations, null, TimeSpan.Zero, 0, cancel);

    /// <summary>So much time by <paramref name="clock"/>, counted from now.</summary>
    public static WorkBudget OfTime(TimeSpan limit, TimeProvider clock, CancellationToken cancel) => new(null, clock, limit, clock.GetTimestamp(), cancel);

    /// <summary>The same limits for a part of the work, and for that part no more than so many iterations.</summary>
    public WorkBudget AtMost(long iterations) => new(iterations, clock, limit, start, cancel);

    /// <summary>From now on no more than that part of all the time, nor more than is left of it; of iterations nothing is said.</summary>
    public WorkBudget Within(double part) =>
        clock is null ? this : new WorkBudget(Iterations, clock, TimeSpan.FromTicks(Math.Min(limit.Ticks, (Elapsed + (limit * part)).Ticks)), start, cancel);

    /// <summary>From now on no more than that part of the time that is left; of iterations nothing is said.</summary>
    public WorkBudget PartOfRest(double part) =>
        clock is null ? this : new WorkBudget(Iterations, clock, TimeSpan.FromTicks((Elapsed + ((limit - Elapsed) * part)).Ticks), start, cancel);

    /// <summary>Time used so far; zero where iterations are the limit.</summary>
    public TimeSpan Elapsed => clock is null ? TimeSpan.Zero : clock.GetElapsedTime(start);

    /// <summary>True once the caller has cancelled, or the time is over where there is such a limit.</summary>
    public bool Over => Cancelled || (clock is not null && Elapsed >= limit);

    /// <summary>The part of the iterations used where they are limited, else of the time: 0 to 1 and beyond.</summary>
    public double Used(long iterations) => Iterations is { } most ? (double)iterations / Math.Max(1, most) : Elapsed / limit;

    /// <summary>True when the search must stop now.</summary>
    public bool Spent(long iterations) => Over || iterations >= Iterations;
}
