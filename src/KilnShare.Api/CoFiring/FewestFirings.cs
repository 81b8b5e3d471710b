using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Solver.CoFiring;

namespace KilnShare.Api.CoFiring;

/// <summary>The fewest firings in the time of a request: the plain search proves most racks; where it does not, constraint programming has the rest.</summary>
internal static class FewestFirings
{
    private static readonly TimeSpan PlainTime = TimeSpan.FromMilliseconds(700);
    private static readonly TimeSpan SolverTime = TimeSpan.FromMilliseconds(1000);

    public static FiringGroupsPlan Of(FiringGroupsProblem problem, TimeProvider clock, CancellationToken cancellation)
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
