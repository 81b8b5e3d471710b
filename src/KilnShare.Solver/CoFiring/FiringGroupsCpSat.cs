using Google.OrTools.Sat;
using KilnShare.Core.CoFiring;

namespace KilnShare.Solver.CoFiring;

/// <summary>
/// Finds the fewest firings by constraint programming, behind the same face as <see cref="FiringGroupsSolve"/>: for large racks of which the
/// plain search does not prove its answer.
/// </summary>
public static class FiringGroupsCpSat
{
    /// <summary>The fewest firings found within so much work of the solver, and how few there could be.</summary>
    /// <param name="problem">The problem.</param>
    /// <param name="options">Seed and limits.</param>
    /// <param name="mostWork">Most work in one part, in the solver's own deterministic seconds, which are about seconds and the same on any machine.</param>
    /// <param name="cancel">Ends the search with the best found so far.</param>
    public static FiringGroupsPlan Solve(FiringGroupsProblem problem, FiringGroupsOptions options, double mostWork, CancellationToken cancel)
    {
        var chosen = new List<PossibleFiring>();
        var lowerBound = 0;
        long branchings = 0;
        foreach (var part in problem.Parts)
        {
            using var solver = new CpSolver();
            solver.StringParameters = $"num_workers:1 random_seed:{options.Seed} max_deterministic_time:{mostWork:0.######}";
            using var stop = cancel.Register(solver.StopSearch);
            var held = Held(part, solver);
            chosen.AddRange(held.Count > 0 ? held : part.Firings);
            lowerBound += part.IsComplete ? Math.Max(1, (int)Math.Ceiling(solver.BestObjectiveBound - 1e-6)) : 1;
            branchings += solver.NumBranches();
        }

        return FiringGroupsMaking.Make(problem, chosen, lowerBound, branchings);
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
