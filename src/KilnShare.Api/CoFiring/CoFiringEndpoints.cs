using KilnShare.Api.Common;
using KilnShare.Core.CoFiring;

namespace KilnShare.Api.CoFiring;

/// <summary>Who may fire with whom.</summary>
public static class CoFiringEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapCoFiring(this RouteGroupBuilder v1) => v1.MapPost("/calculations/co-firing-check", Check)
        .WithTags("CoFiring").WithName("checkCoFiring").Answers<CoFiringAnswerContract>();

    /// <summary>Check whether pieces may share a firing</summary>
    /// <remarks>
    /// Every rule that has something to say, whom it touches, what would cure it, and what follows for a booking. What is not known is
    /// "unknown", never "compatible". Stores nothing.
    /// </remarks>
    private static IResult Check(CoFiringQuestion question)
    {
        var aim = question.Firing.ToCore();
        var answer = CoFiringCheck.Check(new FiringPlan(aim.Kind, aim.Cone, aim.Series, aim.Atmosphere), [.. question.Pieces.Select(p => p.ToCore())]);
        return TypedResults.Ok(CoFiringAnswerContract.Of(answer, aim));
    }
}
