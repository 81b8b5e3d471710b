using System.Diagnostics;

namespace KilnShare.Api.Hosting;

/// <summary>Starts a private PostgreSQL again when it has died, a few times.</summary>
/// <param name="cluster">The cluster, which runs.</param>
/// <param name="log">Where deaths are told.</param>
internal sealed class ClusterKeeper(PrivateCluster cluster, ILogger log)
{
    private const int MostDeaths = 3; // one may be an accident, and a second; more have a cause that another start does not cure
    private static readonly TimeSpan InARow = TimeSpan.FromMinutes(10);
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(45);
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(1);

    /// <summary>Keeps it running until cancelled.</summary>
    /// <exception cref="InvalidOperationException">It died too often, or does not start: it is given up, and the message says why.</exception>
    public async Task Keep(CancellationToken cancellation)
    {
        var deaths = new Queue<long>();
        while (true)
        {
            var code = await cluster.Ended(cancellation);
            deaths.Enqueue(Stopwatch.GetTimestamp());
            while (Stopwatch.GetElapsedTime(deaths.Peek()) > InARow) deaths.Dequeue();
            if (deaths.Count > MostDeaths)
            {
                throw new InvalidOperationException(
                    $"PostgreSQL died {deaths.Count} times within {InARow.TotalMinutes:0} minutes, at last with code {code}. The level Debug shows its words.");
            }

            log.LogError("PostgreSQL ended with code {Code}; it is started again", code);
            await StartAgain(cancellation);
            log.LogWarning("PostgreSQL runs again");
        }
    }

    /// <summary>What a killed server leaves behind takes a moment to go, so that the first try may fail.</summary>
    private async Task StartAgain(CancellationToken cancellation)
    {
        for (var waited = Stopwatch.StartNew(); ; await Task.Delay(Pause, cancellation))
        {
            try
            {
                await cluster.StartAgain(cancellation);
                return;
            }
            catch (InvalidOperationException e) when (waited.Elapsed < Patience)
            {
                log.LogWarning(e, "PostgreSQL does not start yet");
            }
        }
    }
}
