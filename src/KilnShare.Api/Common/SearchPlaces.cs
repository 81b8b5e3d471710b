using System.Runtime.InteropServices;

namespace KilnShare.Api.Common;

/// <summary>
/// Where searches are made: calculations at so many places that one core is left for everything else, bookings at one of their own, so
/// that none of them ever stands behind a calculation.
/// </summary>
public sealed class SearchPlaces
{
    // Below everything else that runs, so that reads do not wait for searches where there are few cores (see DEVELOPERS.md, Decisions).
    private const int Politeness = 10;
    private static readonly TimeSpan LongestWait = TimeSpan.FromSeconds(10);

    /// <summary>How long a calculation takes at most, the wait before it not counted.</summary>
    public TimeSpan Longest { get; init; } = TimeSpan.FromMilliseconds(SearchGate.MostMilliseconds);

    /// <summary>The line of calculations.</summary>
    public SearchLine Calculations { get; } = new(Math.Max(1, Environment.ProcessorCount - 1), new SearchLineLimits(16, 8, 4, LongestWait));

    /// <summary>The line of bookings; before it they stand in one for each firing.</summary>
    public SearchLine Bookings { get; } = new(1, new SearchLineLimits(64, 32, 32, LongestWait));

    /// <summary>Searches on a thread of its own, so that none is missing where requests are answered.</summary>
    /// <param name="search">The search.</param>
    /// <param name="isPolite">True: whatever else wants a core goes first.</param>
    internal static Task<T> Search<T>(Func<T> search, bool isPolite) => Task.Factory.StartNew(
        () =>
        {
            if (isPolite) StepBack();
            return search();
        },
        CancellationToken.None, TaskCreationOptions.LongRunning | TaskCreationOptions.DenyChildAttach, TaskScheduler.Default);

    // Thread.Priority does nothing on Linux; the kernel's own measure is by thread, and goes with it when it ends.
    private static void StepBack()
    {
        const int OfThread = 0, ThisOne = 0;
        try
        {
            _ = SetPriority(OfThread, ThisOne, Politeness);
        }
        catch (EntryPointNotFoundException)
        {
            // then it searches like everyone else
        }
    }

    [DllImport("libc", EntryPoint = "setpriority")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.System32)]
    private static extern int SetPriority(int which, uint who, int priority);
}
