namespace KilnShare.Core.Loading.Checks;

/// <summary>Each copy once, no shelf that is not there, and indexes that exist: what every other check relies on.</summary>
internal static class CountChecks
{
    public static void Find(LoadProblem problem, LoadPlan plan, List<string> found)
    {
        var seen = new HashSet<(string, int)>();
        var pieces = problem.Pieces.ToDictionary(p => p.Id, StringComparer.Ordinal);
        var placed = plan.Shelves.SelectMany(s => s.Placements).Select(p => (p.PieceId, p.Copies));
        foreach (var (id, copies) in placed.Concat(plan.Unplaced.Select(u => (u.PieceId, u.Copies))))
        {
            foreach (var copy in copies)
            {
                if (!pieces.TryGetValue(id, out var piece) || copy < 0 || copy >= piece.Quantity) found.Add($"There is no copy {copy} of {id}.");
                else if (!seen.Add((id, copy))) found.Add($"Copy {copy} of {id} appears twice.");
            }

            if (copies.Count == 0) found.Add($"A placement of {id} holds no copy.");
        }

        foreach (var piece in problem.Pieces)
        {
            for (var copy = 0; copy < piece.Quantity; copy++)
            {
                if (!seen.Contains((piece.Id, copy))) found.Add($"Copy {copy} of {piece.Id} is neither placed nor named as unplaced.");
            }
        }

        CountShelves(problem, plan, found);
    }

    private static void CountShelves(LoadProblem problem, LoadPlan plan, List<string> found)
    {
        for (var i = 0; i < plan.Shelves.Count; i++)
        {
            if (plan.Shelves[i].Index != i) found.Add($"Shelf {i} has index {plan.Shelves[i].Index}.");
            if (i > 0 && plan.Shelves[i].Top < plan.Shelves[i - 1].Top) found.Add($"Shelf {i} is listed above a higher one.");
        }

        foreach (var group in plan.Shelves.GroupBy(s => s.ShelfId, StringComparer.Ordinal))
        {
            var stock = problem.Furniture.Shelves.FirstOrDefault(s => string.Equals(s.Id, group.Key, StringComparison.Ordinal));
            if (stock is null) found.Add($"There is no shelf of kind {group.Key}.");
            else if (group.Count() > stock.Count) found.Add($"{group.Count()} shelves of kind {group.Key} are used, there are {stock.Count}.");
        }

        foreach (var index in plan.Posts.SelectMany(p => p.Carries.Append(p.StandsOn ?? 0)))
        {
            if (index < 0 || index >= Math.Max(1, plan.Shelves.Count)) found.Add($"A post names shelf {index}, which does not exist.");
        }
    }
}
