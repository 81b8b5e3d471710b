using System.Reflection;
using KilnShare.Core.Common;
using KilnShare.Storage;
using KilnShare.Storage.Studios;

namespace KilnShare.Api.Common;

/// <summary>The way of one request to a search. Whoever takes it holds no connection to the database: it is let go here, before the wait.</summary>
public sealed class SearchGate(SearchPlaces places, KilnShareDb db, TokenLookup tokens)
{
    /// <summary>How long a calculation takes at most, ms.</summary>
    public const int MostMilliseconds = 10_000;

    /// <summary>
    /// Refuses a calculation that would find no room in the line, before its body is read: who asks a hundred times at once takes so little
    /// from the others. The line looks again when the search comes to it.
    /// </summary>
    public static async Task RefuseEarly(HttpContext context, Func<Task> next)
    {
        if (context.GetEndpoint()?.Metadata.GetMetadata<Searches>() is not null
            && context.RequestServices.GetRequiredService<SearchGate>().IsFull)
            await Problems.Of(Busy()).ExecuteAsync(context);
        else await next();
    }

    /// <summary>Marks every route of these whose handler takes a gate.</summary>
    public static void MarkSearches(IEndpointConventionBuilder routes) => routes.Finally(route =>
    {
        var handler = route.Metadata.OfType<MethodInfo>().FirstOrDefault();
        if (handler?.GetParameters().Any(p => p.ParameterType == typeof(SearchGate)) == true) route.Metadata.Add(new Searches());
    });

    /// <summary>Runs a calculation when its turn comes, for ten seconds at most.</summary>
    /// <param name="search">
    /// The search. What it is given stops it when the caller leaves or the ten seconds are over; what it then finds is not answered,
    /// so that the same question never has two answers.
    /// </param>
    /// <param name="cancellation">The caller leaves.</param>
    /// <returns>What was found; or refused because too many search already, or because it took too long.</returns>
    public async Task<Result<T>> Run<T>(Func<CancellationToken, T> search, CancellationToken cancellation)
    {
        using var place = await Enter(places.Calculations, cancellation);
        if (place is null) return Busy();
        using var deadline = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        deadline.CancelAfter(places.Longest);
        var found = await SearchPlaces.Search(() => search(deadline.Token), isPolite: true);
        cancellation.ThrowIfCancellationRequested();
        return deadline.IsCancellationRequested ? TooSlow() : found;
    }

    /// <summary>The same for a search that keeps to a time of its own and then answers with the best it has.</summary>
    public async Task<Result<T>> RunTimed<T>(Func<T> search, CancellationToken cancellation)
    {
        using var place = await Enter(places.Calculations, cancellation);
        if (place is null) return Busy();
        var found = await SearchPlaces.Search(search, isPolite: true);
        cancellation.ThrowIfCancellationRequested(); // an answer begun now would break off
        return found;
    }

    /// <summary>Decides on a booking, at the place that bookings have of their own; null where too many are decided already.</summary>
    public async Task<T?> Decide<T>(Func<T> decide, CancellationToken cancellation)
        where T : class
    {
        using var place = await Enter(places.Bookings, cancellation);
        if (place is null) return null;
        var decided = await SearchPlaces.Search(decide, isPolite: false);
        cancellation.ThrowIfCancellationRequested();
        return decided;
    }

    private async Task<IDisposable?> Enter(SearchLine line, CancellationToken cancellation)
    {
        if (db.Database.CurrentTransaction is not null)
            throw new InvalidOperationException("A transaction is open while others are searching. Close it before.");
        await tokens.LetGo();
        return await line.Enter(Caller, cancellation);
    }

    private bool IsFull => places.Calculations.HasNoRoomFor(Caller);

    private SearchCaller Caller => new(db.Studio?.Value ?? Guid.Empty, tokens.Holder?.TokenId.Value ?? Guid.Empty);

    private static Refusal Busy() => new(RefusalKind.Busy, "loading.search-busy", "Other searches are still running. Ask again in a few seconds.");

    private static Refusal TooSlow() => new(
        RefusalKind.Busy, "loading.search-too-slow",
        $"This took more than {MostMilliseconds / 1000} seconds and was given up. Ask for less: fewer iterations or pieces, or for milliseconds, which "
            + $"answer with the best so far.");

    private sealed record Searches;
}
