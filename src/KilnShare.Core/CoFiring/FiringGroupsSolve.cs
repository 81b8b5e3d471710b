using KilnShare.Core.Common;

namespace KilnShare.Core.CoFiring;

/// <summary>Finds the fewest firings.</summary>
public static class FiringGroupsSolve
{
    /// <summary>The fewest firings found within the budget, and how few there could be. The same question gives the same answer.</summary>
    public static FiringGroupsPlan Solve(FiringGroupsProblem problem, FiringGroupsOptions options, WorkBudget budget)
    {
        var chosen = new List<PossibleFiring>();
        var lowerBound = 0;
        long branchings = 0;
        foreach (var part in problem.Parts)
        {
            var rowOf = part.Pieces.Select((piece, row) => (piece, row)).ToDictionary(one => one.piece, one => one.row);
            var columns = part.Firings.Select(firing => (IReadOnlyList<int>)[.. firing.Pieces.Select(piece => rowOf[piece])]).ToArray();
            var cover = Cover.Fewest(part.Pieces.Count, columns, options.MostBranchings, budget);
            chosen.AddRange(cover.Columns.Select(column => part.Firings[column]));
            lowerBound += part.IsComplete ? cover.LowerBound : 1;
            branchings += cover.Branchings;
        }

        return FiringGroupsMaking.Make(problem, chosen, lowerBound, branchings, budget.Cancelled);
    }
}
