namespace KilnShare.Api.Common;

/// <summary>Lets at most cores − 1 searches run at once; a short queue waits, the rest is told to come again.</summary>
public sealed class SearchGate : IDisposable
{
    private const int LongestQueue = 16;
    private readonly SemaphoreSlim places = new(Math.Max(1, Environment.ProcessorCount - 1));
    private int waiting;

    /// <summary>Runs the search off the request's thread when its turn comes; null when the queue is full.</summary>
    public async Task<T?> Run<T>(Func<T> search, CancellationToken cancellation)
        where T : class
    {
        if (Interlocked.Increment(ref waiting) > LongestQueue)
        {
            Interlocked.Decrement(ref waiting);
            return null;
        }

        try
        {
            await places.WaitAsync(cancellation);
        }
        finally
        {
            Interlocked.Decrement(ref waiting);
        }

        try
        {
            return await Task.Run(search, cancellation);
        }
        finally
        {
            places.Release();
        }
    }

    /// <summary>What those are told who find the queue full.</summary>
    public static IResult Busy() => Problems.Answer(
        503, "loading.search-busy", "Other searches are still running. Ask again in a few seconds.", null, null, null);

    /// <inheritdoc/>
    public void Dispose() => places.Dispose();
}
