using KilnShare.Api.Common;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Solver.CoFiring;

namespace KilnShare.Api.CoFiring;

/// <summary>Who may fire with whom.</summary>
public static class CoFiringEndpoints
{
    private static readonly TimeSpan PlainTime = TimeSpan.FromMilliseconds(700);
    private static readonly TimeSpan SolverTime = TimeSpan.FromMilliseconds(1000);

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
        var aim = question.Firing.ToCore();
        var answer = CoFiringCheck.Check(question.Firing.ToPlan(), [.. question.Pieces.Select(p => p.ToCore())]);
        return TypedResults.Ok(CoFiringAnswerContract.Of(answer, aim));
    }

    /// <summary>Group waiting pieces into the fewest firings</summary>
    /// <remarks>
    /// Every piece's next step is done within every range that counts for it, and no finding on kiln or others is incompatible. The plain
    /// search proves its answer for most racks; where it does not, constraint programming has the rest of the time. Stores nothing.
    /// </remarks>
    private static async Task<IResult> Group(FiringGroupsQuestion question, SearchGate gate, TimeProvider clock, CancellationToken cancellation)
    {
        if (!FiringGroupsProblem.Of([.. question.Pieces.Select(p => p.ToCore())]).TryGet(out var problem, out var refusal)) return Problems.Of(refusal);
        var plan = await gate.Run(() => Fewest(problem, clock, cancellation), cancellation);
        return plan is null ? SearchGate.Busy() : TypedResults.Ok(FiringGroupsAnswer.Of(plan));
    }

    /// <summary>List the co-firing rules</summary>
    private static IResult Rules() => TypedResults.Ok(new Page<CoFiringRuleContract>
    {
        Items = [.. CoFiringRules.All.Select(CoFiringRuleContract.Of)],
        Next = null,
    });

    private static FiringGroupsPlan Fewest(FiringGroupsProblem problem, TimeProvider clock, CancellationToken cancellation)
    {
        var options = new FiringGroupsOptions();
        var plain = FiringGroupsSolve.Solve(problem, options, WorkBudget.OfTime(PlainTime, clock, cancellation));
        if (plain.Proven) return plain;
        var solved = FiringGroupsCpSat.Solve(problem, options, WorkBudget.OfTime(SolverTime, clock, cancellation));
        var best = solved.Groups.Count < plain.Groups.Count ? solved : plain;
        var bound = Math.Max(plain.LowerBound, solved.LowerBound);
        return best with { LowerBound = bound, Proven = best.Groups.Count == bound };
    }
}
