namespace KilnShare.Core.Loading.Checks;

/// <summary>What is to stay of a start plan is where it was.</summary>
internal static class KeptChecks
{
    public static void Find(LoadProblem problem, LoadPlan plan, List<string> found)
    {
        if (problem.Start is not { } start || problem.Keep == Keep.None) return;
        var now = plan.Shelves.SelectMany(s => s.Placements.SelectMany(p => p.Copies.Select(c => (Key: (p.PieceId, c), Shelf: s, Place: p))))
            .ToDictionary(x => x.Key, x => (x.Shelf, x.Place));
        var quantities = problem.Pieces.ToDictionary(p => p.Id, p => p.Quantity, StringComparer.Ordinal);
        foreach (var shelf in start.Shelves)
        {
            foreach (var place in shelf.Placements)
            {
                foreach (var copy in place.Copies)
                {
                    if (!quantities.TryGetValue(place.PieceId, out var quantity) || copy >= quantity) continue;
                    if (!problem.IsKept(place.PieceId, copy)) continue;
                    if (!now.TryGetValue((place.PieceId, copy), out var stands) || !Same(shelf, place, stands.Shelf, stands.Place))
                        found.Add($"Copy {copy} of {place.PieceId} was to stay where it was.");
                }
            }
        }
    }

    private static bool Same(PlacedShelf shelfA, Placement a, PlacedShelf shelfB, Placement b) =>
        string.Equals(shelfA.ShelfId, shelfB.ShelfId, StringComparison.Ordinal) && shelfA.Top == shelfB.Top
        && a.X == b.X && a.Y == b.Y && a.RotationThousandths == b.RotationThousandths;
}
