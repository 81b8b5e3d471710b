namespace KilnShare.Api.Common;

/// <summary>Whom a search is made for; turns are shared out between studios, and in a studio between tokens.</summary>
/// <param name="Studio">The studio.</param>
/// <param name="Token">The token; empty for what the service does by itself.</param>
public readonly record struct SearchCaller(Guid Studio, Guid Token);

/// <summary>How many may stand in a line, and how long.</summary>
/// <param name="All">All together.</param>
/// <param name="OfStudio">Those of one studio.</param>
/// <param name="OfToken">Those of one token.</param>
/// <param name="Longest">How long one stands there at most.</param>
public sealed record SearchLineLimits(int All, int OfStudio, int OfToken, TimeSpan Longest);

/// <summary>
/// Some places to search at, and the line before them. The next place goes to the studio whose last turn is longest ago, and there to such
/// a token: whoever asks for much waits behind himself, not others behind him.
/// </summary>
public sealed class SearchLine(int places, SearchLineLimits limits)
{
    private const int MostRemembered = 4_096;
    private readonly Lock changing = new();
    private readonly List<Waiter> waiting = [];
    private readonly Dictionary<Guid, long> lastTurns = [];
    private int taken;
    private long turns;

    /// <summary>How many search at once.</summary>
    public int Places => places;

    /// <summary>How many search now.</summary>
    public int Taken
    {
        get
        {
            lock (changing) return taken;
        }
    }

    /// <summary>Those who stand in line now.</summary>
    public int Waiting
    {
        get
        {
            lock (changing) return waiting.Count;
        }
    }

    /// <summary>Whether such a caller would be sent away now.</summary>
    public bool HasNoRoomFor(SearchCaller caller)
    {
        lock (changing) return taken >= places && IsFull(caller);
    }

    /// <summary>Waits for a place; dispose of it to give it back. Null where the line is full, or it took too long.</summary>
    public async Task<IDisposable?> Enter(SearchCaller caller, CancellationToken cancellation)
    {
        Waiter waiter;
        lock (changing)
        {
            if (taken < places) return Take(caller);
            if (IsFull(caller)) return null;
            waiting.Add(waiter = new Waiter(caller));
        }

        try
        {
            return await waiter.Turn.Task.WaitAsync(limits.Longest, cancellation);
        }
        catch (TimeoutException)
        {
            GiveUp(waiter);
            return null;
        }
        catch (OperationCanceledException)
        {
            GiveUp(waiter);
            throw;
        }
    }

    private bool IsFull(SearchCaller caller) => waiting.Count >= limits.All
        || waiting.Count(w => w.Caller.Studio == caller.Studio) >= limits.OfStudio
        || waiting.Count(w => w.Caller == caller) >= limits.OfToken;

    private Place Take(SearchCaller caller)
    {
        taken++;
        if (waiting.Count == 0 || lastTurns.Count > MostRemembered) lastTurns.Clear(); // nobody waits who could be passed over
        lastTurns[caller.Studio] = lastTurns[caller.Token] = ++turns;
        return new Place(this);
    }

    private void Leave()
    {
        lock (changing)
        {
            taken--;
            if (waiting.MinBy(w => (LastTurn(w.Caller.Studio), LastTurn(w.Caller.Token))) is not { } next) return;
            waiting.Remove(next);
            next.Turn.SetResult(Take(next.Caller));
        }
    }

    /// <summary>Steps out of the line; where the turn came at the same moment, it goes to the next.</summary>
    private void GiveUp(Waiter waiter)
    {
        lock (changing)
        {
            if (waiting.Remove(waiter)) return;
        }

        Leave();
    }

    private long LastTurn(Guid of) => lastTurns.GetValueOrDefault(of);

    private sealed class Waiter(SearchCaller caller)
    {
        public SearchCaller Caller { get; } = caller;

        public TaskCompletionSource<Place> Turn { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);
    }

    private sealed class Place(SearchLine line) : IDisposable
    {
        private int given;

        public void Dispose()
        {
            if (Interlocked.Exchange(ref given, 1) == 0) line.Leave();
        }
    }
}
