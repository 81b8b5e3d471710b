namespace KilnShare.Core.Loading.Finishing;

/// <summary>The start plan without what has been withdrawn since.</summary>
internal static class StartPart
{
    /// <summary>The start plan as a plan of this problem, with all of its ware that is left, or only with what must stay. Empty shelves at the top are
    /// left out.</summary>
    public static LoadPlan Of(LoadProblem problem, bool onlyKept)
    {
        var start = problem.Start ?? throw new InvalidOperationException("There is no start plan.");
        var quantities = problem.Pieces.ToDictionary(p => p.Id, p => p.Quantity, StringComparer.Ordinal);
        var pinned = problem.Pinned.ToHashSet();
        bool Stays(string id, int copy) =>
            quantities.TryGetValue(id, out var quantity) && copy < quantity
            && (!onlyKept || problem.Keep == Keep.All || (problem.Keep == Keep.Pinned && pinned.Contains(new PinnedCopy(id, copy))));
        var shelves = start.Shelves.Select(s => s with { Placements = Placements(s, Stays) }).ToList();
        shelves = [.. shelves.Take(shelves.FindLastIndex(s => s.Placements.Count > 0) + 1)];
        var posts = start.Posts.Select(p => p with { Carries = [.. p.Carries.Where(c => c < shelves.Count)] }).Where(p => p.Carries.Count > 0).ToList();
        return PlanFigures.Complete(problem, shelves, posts, new PlanEnd(StopReason.SearchEnded, 0, null));
    }

    private static List<Placement> Placements(PlacedShelf shelf, Func<string, int, bool> stays)
    {
        var kept = new List<Placement>();
        foreach (var placement in shelf.Placements)
        {
            var copies = placement.Copies.Where(c => stays(placement.PieceId, c)).ToList();
            if (copies.Count > 0) kept.Add(placement with { Copies = copies });
        }

        return kept;
    }
}
