using KilnShare.Api.Common;
using KilnShare.Api.Papers;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Series;

namespace KilnShare.Api.Loading;

/// <summary>Where ware stands in a kiln.</summary>
public static class LoadPlanEndpoints
{
    private const int UsualMilliseconds = 500;
    private const int UsualMillisecondsOfSeries = 3_000;
    private const long MakeRoomTries = 300;

    /// <summary>Maps the routes.</summary>
    public static void MapLoading(this RouteGroupBuilder v1)
    {
        v1.MapPost("/calculations/load-series", PlanSeries).WithName("calculateLoadSeries").WithTags("Loading").Answers<LoadSeriesContract>().Refuses(422, 503);
        var loading = v1.MapGroup("/calculations/load-plan").WithTags("Loading");
        loading.MapPost("", Plan).WithName("calculateLoadPlan").Answers<LoadPlanContract>().Refuses(422, 503);
        loading.MapPost("/picture", Draw).WithName("drawCalculatedLoadPlan").AnswersSvg().Refuses(422, 503);
    }

    /// <summary>Plan a load</summary>
    /// <remarks>Places as much weight of ware as it can, on shelves standing on posts, then uses the least height. Stores nothing.</remarks>
    private static async Task<IResult> Plan(LoadPlanQuestion question, SearchGate gate, TimeProvider clock, CancellationToken cancellation)
    {
        var start = clock.GetTimestamp();
        var (found, problem, refused) = await Search(question, gate, clock, cancellation);
        if (found is null) return refused!;
        var answer = LoadPlanContract.Of(found.Plan, problem, (long)clock.GetElapsedTime(start).TotalMilliseconds);
        return TypedResults.Ok(answer with { MakeRoom = found.Made is { } made ? RoomMadeContract.Of(made) : null });
    }

    /// <summary>Plan ware into as few loads as can be</summary>
    /// <remarks>
    /// For more ware than one firing takes: loads of one kiln, to be fired one after another, as few of them as the search finds; the one with the
    /// most weight of priority first. Each load's shelves and posts can be sent as the start of a load plan, to draw or to change it. Stores nothing.
    /// </remarks>
    private static async Task<IResult> PlanSeries(LoadSeriesQuestion question, SearchGate gate, TimeProvider clock, CancellationToken cancellation)
    {
        var start = clock.GetTimestamp();
        var search = question.Search;
        if (!question.ToCore().TryGet(out var problem, out var refusal)) return Problems.Of(refusal);
        var found = await search.Run(
            gate, stop => LoadSeries.Solve(problem, search.Options(), search.Budget(UsualMillisecondsOfSeries, clock, stop)), cancellation);
        return found.TryGet(out var series, out refusal)
            ? TypedResults.Ok(LoadSeriesContract.Of(series, problem, (long)clock.GetElapsedTime(start).TotalMilliseconds)) : Problems.Of(refusal);
    }

    /// <summary>Draw a load as an SVG picture</summary>
    /// <remarks>
    /// Takes what the plan of a load takes and answers with a picture (image/svg+xml): the kiln from the front, then each shelf from above, the
    /// lowest first. To draw a plan you have, send it as start with keep: all and search: {"iterations": 0}. Query: unit, millimetres or inches.
    /// </remarks>
    private static async Task<IResult> Draw(
        LoadPlanQuestion question, QueryWord<LengthUnit>? unit, HttpContext context, SearchGate gate, TimeProvider clock, CancellationToken cancellation)
    {
        var (found, problem, refused) = await Search(question, gate, clock, cancellation);
        return refused ?? LoadPicture.Answer(context, SheetOf(found!.Plan, problem!, unit?.Value ?? LengthUnit.Millimetres));
    }

    private static async Task<(Found? Found, LoadProblem? Problem, IResult? Refused)> Search(
        LoadPlanQuestion question, SearchGate gate, TimeProvider clock, CancellationToken cancellation)
    {
        if (!question.ToCore().TryGet(out var problem, out var refusal)) return (null, null, Problems.Of(refusal));
        var answer = await question.Search.Run(gate, stop => Solve(question, problem, clock, stop), cancellation);
        return answer.TryGet(out var found, out refusal) ? (found, problem, null) : (null, null, Problems.Of(refusal));
    }

    private static Found Solve(LoadPlanQuestion question, LoadProblem problem, TimeProvider clock, CancellationToken stop)
    {
        var (search, options, parts) = (question.Search, question.Search.Options(), question.MakeRoomFor.Count > 0 ? 2 : 1);
        var budget = search.Budget(UsualMilliseconds, clock, stop, parts);
        if (parts == 1) return new Found(LoadSearch.Solve(problem, options, budget), null);
        // What would have to go is looked for where all still stands close together, and the room left over is all in one piece.
        options = options with { Spread = false };
        var plan = LoadSearch.Solve(problem, options, budget);
        var tries = search.Iterations is null ? search.Budget(UsualMilliseconds, clock, stop, parts) : WorkBudget.OfIterations(MakeRoomTries, stop);
        var made = RoomMaking.Find(problem, plan, question.MakeRoomFor, options, tries);
        return new Found(search.Spread ? SharingOut.Of(problem, plan, options, tries) : plan, made);
    }

    private static LoadSheet SheetOf(LoadPlan plan, LoadProblem problem, LengthUnit unit) => new(
        "Load plan", problem.Chamber, problem.Furniture, problem.Spacing, plan,
        problem.Pieces.ToDictionary(p => p.Id, SheetPieceOf, StringComparer.Ordinal), problem.KeepOuts, unit);

    private static SheetPiece SheetPieceOf(LoadPiece piece) => new(
        piece.Group, piece.Id, "ware", piece.Footprint, piece.Height, piece.Stack?.Add ?? Length.Zero,
        piece.Quantity > 1 ? [.. Enumerable.Range(0, piece.Quantity)] : null);

    private sealed record Found(LoadPlan Plan, RoomMade? Made);
}
