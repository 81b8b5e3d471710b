using KilnShare.Api.Common;
using KilnShare.Api.Firings;
using KilnShare.Core.CoFiring;

namespace KilnShare.Api.CoFiring;

/// <summary>Who may fire with whom.</summary>
public static class CoFiringEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapCoFiring(this RouteGroupBuilder v1)
    {
        v1.MapPost("/calculations/co-firing-check", Check).WithTags("CoFiring").WithName("checkCoFiring").Answers<CoFiringAnswerContract>();
        v1.MapPost("/calculations/firing-groups", Group).WithTags("CoFiring").WithName("groupFirings").Answers<FiringGroupsAnswer>().Refuses(503);
        v1.MapGet("/co-firing-rules", Rules).WithTags("CoFiring").WithName("listCoFiringRules").Answers<Page<CoFiringRuleContract>>();
    }

    /// <summary>Check whether pieces may share a firing</summary>
    /// <remarks>
    /// Every rule that has something to say, whom it touches, what would cure it, and what follows for a booking. What is not known is
    /// "unknown", never "compatible". Stores nothing.
    /// </remarks>
    private static IResult Check(CoFiringQuestion question)
    {
        var (aim, plan) = (question.Firing.ToCore(), question.Firing.ToPlan());
        if (plan.Schedule is { } schedule && !schedule.ToHistory().TryGet(out _, out var unfit))
            return Problems.Of(ScheduleContract.Place(unfit).Under("/firing"));
        var answer = CoFiringCheck.Check(plan, [.. question.Pieces.Select(p => p.ToCore())]);
        return TypedResults.Ok(CoFiringAnswerContract.Of(answer, aim));
    }

    /// <summary>Group waiting pieces into the fewest firings</summary>
    /// <remarks>
    /// Every piece's next step is done within every range that counts for it, and no finding on kiln or others is incompatible. With a
    /// kiln's rated cone or house rules, no firing is beyond them. Stores nothing.
    /// </remarks>
    private static async Task<IResult> Group(FiringGroupsQuestion question, SearchGate gate, TimeProvider clock, CancellationToken cancellation)
    {
        var bounds = new FiringBounds(question.KilnRatedCone, question.HouseRules?.ToCore());
        if (!FiringGroupsProblem.Of([.. question.Pieces.Select(p => p.ToCore())], bounds).TryGet(out var problem, out var refusal)) return Problems.Of(refusal);
        var plan = await gate.RunTimed(() => FewestFirings.Of(problem, clock, cancellation), cancellation);
        return plan.TryGet(out var found, out refusal) ? TypedResults.Ok(FiringGroupsAnswer.Of(found)) : Problems.Of(refusal);
    }

    /// <summary>List the co-firing rules</summary>
    private static IResult Rules() => TypedResults.Ok(new Page<CoFiringRuleContract>
    {
        Items = [.. CoFiringRules.All.Select(CoFiringRuleContract.Of)],
        Next = null,
    });
}
