using Google.OrTools.Sat;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;

namespace KilnShare.Solver.CoFiring;

/// <summary>
/// Finds the fewest firings by constraint programming, behind the same face as <see cref="FiringGroupsSolve"/>: for large racks of which the
/// plain search does not prove its answer.
/// </summary>
public static class FiringGroupsCpSat
{
    private static readonly TimeSpan Look = TimeSpan.FromMilliseconds(20);

    /// <summary>
    /// The fewest firings found within the solver's work, and how few there could be. Where the budget is one of time or the caller cancels,
    /// it ends with the best found so far; without either the same question gives the same answer.
    /// </summary>
    public static FiringGroupsPlan Solve(FiringGroupsProblem problem, FiringGroupsOptions options, WorkBudget budget)
    {
        var chosen = new List<PossibleFiring>();
        var lowerBound = 0;
        long branchings = 0;
        foreach (var part in problem.Parts)
        {
            using var solver = new CpSolver();
            solver.StringParameters = $"num_workers:1 random_seed:{options.Seed} max_deterministic_time:{options.MostSolverWork:0.######}";
            var held = Watched(solver, budget, () => Held(part, solver));
            chosen.AddRange(held.Count > 0 ? held : part.Firings);
            lowerBound += part.IsComplete ? Math.Max(1, (int)Math.Ceiling(solver.BestObjectiveBound - 1e-6)) : 1;
            branchings += solver.NumBranches();
        }

        return FiringGroupsMaking.Make(problem, chosen, lowerBound, branchings, budget.Cancelled);
    }

    private static T Watched<T>(CpSolver solver, WorkBudget budget, Func<T> solve)
    {
        using var quiet = new ManualResetEvent(false);
        var watch = new Timer(_ => StopWhenSpent(budget, solver), null, Look, Look);
        try
        {
            return solve();
        }
        finally
        {
            // No look may come after the solver is gone.
            watch.Dispose(quiet);
            quiet.WaitOne();
        }
    }

    private static void StopWhenSpent(WorkBudget budget, CpSolver solver)
    {
        if (budget.Spent(0)) solver.StopSearch();
    }

    // Set cover: a variable says that a possible firing is held; each piece is in one that is.
    private static List<PossibleFiring> Held(FiringGroupsPart part, CpSolver solver)
    {
        var model = new CpModel();
        var held = part.Firings.Select((_, i) => model.NewBoolVar($"held{i}")).ToArray();
        var ofPiece = part.Pieces.ToDictionary(piece => piece, _ => new List<ILiteral>());
        for (var i = 0; i < held.Length; i++)
            foreach (var piece in part.Firings[i].Pieces) ofPiece[piece].Add(held[i]);
        foreach (var literals in ofPiece.Values) model.AddBoolOr(literals);
        model.Minimize(LinearExpr.Sum(held));
        var status = solver.Solve(model);
        return status is CpSolverStatus.Optimal or CpSolverStatus.Feasible ? [.. part.Firings.Where((_, i) => solver.BooleanValue(held[i]))] : [];
    }
}
