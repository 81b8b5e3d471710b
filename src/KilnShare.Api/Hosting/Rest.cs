using System.Runtime.InteropServices;

namespace KilnShare.Api.Hosting;

/// <summary>
/// Gives memory back once the service is at rest: a studio's machine is often small and asked in bursts, and the runtime keeps what a burst took
/// (measured after the main job: 45 MiB).
/// </summary>
public sealed class Rest(TimeProvider clock) : BackgroundService
{
    private const long QuietBytes = 1024 * 1024; // more than jobs and health checks allocate between two looks
    private static readonly TimeSpan Between = TimeSpan.FromSeconds(3);

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        var (before, given) = (0L, 0L);
        using var timer = new PeriodicTimer(Between, clock);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken))
            {
                var now = GC.GetTotalAllocatedBytes();
                var isQuiet = now - before < QuietBytes;
                before = now;
                if (!isQuiet || now - given < QuietBytes) continue;
                GiveBack();
                given = now;
            }
        }
        catch (OperationCanceledException)
        {
            // the service stops
        }
    }

    private static void GiveBack()
    {
        GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
        try
        {
            _ = TrimHeap(0); // what the compiler of the runtime took
        }
        catch (EntryPointNotFoundException)
        {
            // another C library than glibc
        }
    }

    [DllImport("libc", EntryPoint = "malloc_trim")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.System32)]
    private static extern int TrimHeap(nint keep);
}
