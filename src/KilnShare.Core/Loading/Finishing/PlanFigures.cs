using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>How a search ended.</summary>
/// <param name="Stopped">Why.</param>
/// <param name="Iterations">How many it did.</param>
/// <param name="Reasons">By piece: why it cannot be placed at all, null where it could be; null as a whole when that was not looked into.</param>
internal sealed record PlanEnd(StopReason Stopped, long Iterations, IReadOnlyList<UnplacedReason?>? Reasons)
{
    /// <summary>A bound on the placed value that is sharper than the value of all that fits somewhere; null when there is none.</summary>
    public decimal? Bound { get; init; }
}

/// <summary>Works out the figures of a plan from where everything stands.</summary>
internal static class PlanFigures
{
    public static LoadPlan Complete(LoadProblem problem, IReadOnlyList<PlacedShelf> shelves, IReadOnlyList<PlacedPost> posts, PlanEnd end)
    {
        var kinds = problem.Furniture.Shelves.ToDictionary(s => s.Id, StringComparer.Ordinal);
        var pieces = problem.Pieces.ToDictionary(p => p.Id, StringComparer.Ordinal);
        var shapes = shelves.Select(s => ShapeOf(s, kinds[s.ShelfId])).ToList();
        var figured = new List<PlacedShelf>();
        for (var i = 0; i < shelves.Count; i++)
        {
            var shelf = shelves[i];
            var above = Enumerable.Range(0, shelves.Count).Where(j => Underside(shelves[j], kinds) >= shelf.Top).ToList();
            var ceiling = above.Where(j => !Exact.Apart(shapes[i], shapes[j], 0)).Select(j => Underside(shelves[j], kinds))
                .Append(problem.Chamber.Height - problem.Chamber.LidClearance).Min();
            var used = shelf.Placements.Sum(p => Shape.Of(pieces[p.PieceId].Footprint).Area);
            figured.Add(shelf with
            {
                ClearAbove = ceiling - shelf.Top,
                AreaUse = decimal.Round((decimal)(used / Shape.Of(kinds[shelf.ShelfId].Footprint).Area), 3),
                Placements = [.. shelf.Placements.Select(p => p with { OpenAbove = above.Any(j => TopOf(shelf, p, pieces) > Underside(shelves[j], kinds)) })],
            });
        }

        return Weigh(problem, HandRoom.On(figured, pieces), posts, pieces, end);
    }

    private static LoadPlan Weigh(
        LoadProblem problem, IReadOnlyList<PlacedShelf> shelves, IReadOnlyList<PlacedPost> posts, Dictionary<string, LoadPiece> pieces, PlanEnd end)
    {
        var placements = shelves.SelectMany(s => s.Placements.Select(p => (Shelf: s, Placement: p))).ToList();
        var weight = placements.Sum(p => pieces[p.Placement.PieceId].Priority * p.Placement.Copies.Count);
        var top = placements.Select(p => TopOf(p.Shelf, p.Placement, pieces)).DefaultIfEmpty(Length.Zero).Max();
        var bound = Math.Min(BoundOf(problem, placements.ConvertAll(p => p.Placement), end), end.Bound ?? decimal.MaxValue);
        var stopped = weight == bound ? StopReason.Proven : end.Stopped;
        return new LoadPlan(shelves, posts, Unplaced(problem, placements.ConvertAll(p => p.Placement), end), top, weight, bound, stopped, end.Iterations);
    }

    // Copies that no plan can hold do not count.
    private static decimal BoundOf(LoadProblem problem, List<Placement> placements, PlanEnd end)
    {
        var bound = 0m;
        for (var i = 0; i < problem.Pieces.Count; i++)
        {
            var piece = problem.Pieces[i];
            var possible = end.Reasons?[i] is null
                ? piece.Quantity
                : placements.Where(p => string.Equals(p.PieceId, piece.Id, StringComparison.Ordinal)).Sum(p => p.Copies.Count);
            bound += possible * piece.Priority;
        }

        return bound;
    }

    private static List<UnplacedCopies> Unplaced(LoadProblem problem, List<Placement> placements, PlanEnd end)
    {
        var placed = placements.SelectMany(p => p.Copies.Select(c => (p.PieceId, c))).ToHashSet();
        var unplaced = new List<UnplacedCopies>();
        for (var i = 0; i < problem.Pieces.Count; i++)
        {
            var piece = problem.Pieces[i];
            var copies = Enumerable.Range(0, piece.Quantity).Where(c => !placed.Contains((piece.Id, c))).ToList();
            if (copies.Count > 0) unplaced.Add(new UnplacedCopies(piece.Id, copies, end.Reasons?[i] ?? UnplacedReason.NoPlaceFound));
        }

        return unplaced;
    }

    private static Length Underside(PlacedShelf shelf, Dictionary<string, ShelfStock> kinds) => shelf.Top - kinds[shelf.ShelfId].Thickness;

    private static Length TopOf(PlacedShelf shelf, Placement placement, Dictionary<string, LoadPiece> pieces)
    {
        var piece = pieces[placement.PieceId];
        return shelf.Top + piece.Height + new Length((placement.Copies.Count - 1) * (piece.Stack?.Add.Micrometres ?? 0));
    }

    private static PlacedShape ShapeOf(PlacedShelf shelf, ShelfStock kind) =>
        PlacedShape.Of(kind.Footprint, shelf.X.Micrometres, shelf.Y.Micrometres, shelf.RotationThousandths);
}
