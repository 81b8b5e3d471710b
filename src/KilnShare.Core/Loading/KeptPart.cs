namespace KilnShare.Core.Loading;

/// <summary>The part of the start plan that stays, as a plan of its own.</summary>
internal static class KeptPart
{
    public static LoadPlan Of(LoadProblem problem)
    {
        var start = problem.Start ?? throw new InvalidOperationException("There is no start plan.");
        var quantities = problem.Pieces.ToDictionary(p => p.Id, p => p.Quantity, StringComparer.Ordinal);
        var kept = start.Shelves.Select(s => s with { Placements = Placements(problem, quantities, s) }).ToList();
        var last = kept.FindLastIndex(s => s.Placements.Count > 0 || problem.Keep == Keep.All);
        var below = last < 0 ? [] : kept.Where(s => s.Index <= last || s.Top <= kept[last].Top).ToList();
        var posts = start.Posts.Where(p => p.Carries.Any(c => c < below.Count)).ToList();
        return PlanFigures.Complete(problem, below, posts, new PlanEnd(StopReason.SearchEnded, 0, null));
    }

    private static List<Placement> Placements(LoadProblem problem, Dictionary<string, int> quantities, PlacedShelf shelf)
    {
        var kept = new List<Placement>();
        foreach (var placement in shelf.Placements)
        {
            if (!quantities.TryGetValue(placement.PieceId, out var quantity)) continue;
            var copies = placement.Copies.Where(c => c < quantity && problem.IsKept(placement.PieceId, c)).ToList();
            if (copies.Count > 0) kept.Add(placement with { Copies = copies });
        }

        return kept;
    }
}
