using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;

namespace KilnShare.Api.Loading;

/// <summary>Where ware stands in a kiln.</summary>
public static class LoadPlanEndpoints
{
    private const int UsualMilliseconds = 500;

    /// <summary>Maps the routes.</summary>
    public static void MapLoading(this RouteGroupBuilder v1) => v1.MapPost("/calculations/load-plan", Plan)
        .WithTags("Loading").WithName("calculateLoadPlan").Answers<LoadPlanContract>().Refuses(422, 503);

    /// <summary>Plan a load</summary>
    /// <remarks>Places as much weight of ware as it can, on shelves standing on posts, then uses the least height. Stores nothing.</remarks>
    private static async Task<IResult> Plan(LoadPlanQuestion question, SearchGate gate, TimeProvider clock, CancellationToken cancellation)
    {
        if (question.Search.Milliseconds > SearchContract.MostMilliseconds)
            return Problems.Of(Refusal.Rule("loading.search-too-long", $"A calculation searches {SearchContract.MostMilliseconds} ms at most.", "/search/milliseconds"));
        if (!question.ToCore().TryGet(out var problem, out var refusal)) return Problems.Of(refusal);
        var options = new LoadOptions { Seed = unchecked((ulong)question.Search.Seed) };
        var start = clock.GetTimestamp();
        var plan = await gate.Run(() => LoadSearch.Solve(problem, options, Budget(question.Search, clock, cancellation)), cancellation);
        if (plan is null) return SearchGate.Busy();
        return TypedResults.Ok(LoadPlanContract.Of(plan, (long)clock.GetElapsedTime(start).TotalMilliseconds));
    }

    private static WorkBudget Budget(SearchContract search, TimeProvider clock, CancellationToken cancellation) => search.Iterations is { } iterations
        ? WorkBudget.OfIterations(iterations, cancellation)
        : WorkBudget.OfTime(TimeSpan.FromMilliseconds(search.Milliseconds ?? UsualMilliseconds), clock, cancellation);
}
