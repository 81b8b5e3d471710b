using KilnShare.Api.Common;
using KilnShare.Core.Costs;

namespace KilnShare.Api.Costs;

/// <summary>Dividing a cost.</summary>
public static class CostSplitEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapCostSplit(this RouteGroupBuilder v1) => v1.MapPost("/calculations/cost-split", Split)
        .WithTags("Costs").WithName("calculateCostSplit").Answers<CostSplitAnswerContract>().Refuses(422);

    /// <summary>Divide a firing's cost</summary>
    /// <remarks>Each part by its own basis, by largest remainder in whole minor units: the shares add up part by part. Stores nothing.</remarks>
    private static IResult Split(CostSplitQuestion question) =>
        CostSplit.Split(question.ToCore()).TryGet(out var answer, out var refusal)
            ? TypedResults.Ok(CostSplitAnswerContract.Of(answer, AmountsView.Everything)) : Problems.Of(refusal);
}
