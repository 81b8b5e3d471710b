using KilnShare.Core.Common;
using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading;

/// <summary>Where a point is in the chamber.</summary>
/// <param name="X">To the right of the centre.</param>
/// <param name="Y">Away from the loader.</param>
/// <param name="Z">Over the floor.</param>
public sealed record ChamberPoint(Length X, Length Y, Length Z);

/// <summary>What whoever loads the kiln needs beside the plan: the posts to take out, the order of loading, and what to look at twice.</summary>
/// <param name="Findings">What should be looked at, from the lowest shelf up.</param>
/// <param name="Order">What goes in after what.</param>
/// <param name="Posts">Posts to take out, by length.</param>
/// <param name="WareMassG">Mass of the placed ware of known mass, g.</param>
/// <param name="Unweighed">Placed copies whose mass is not known.</param>
/// <param name="CentreOfMass">Of the placed ware of known mass, each copy's taken at half its height; null where no mass is known.</param>
public sealed record LoadSummary(
    IReadOnlyList<LoadFinding> Findings,
    IReadOnlyList<(int Shelf, Placement Placement)> Order,
    IReadOnlyList<(Length Height, int Count)> Posts,
    decimal WareMassG,
    int Unweighed,
    ChamberPoint? CentreOfMass)
{
    /// <summary>The summary of a plan of that problem.</summary>
    public static LoadSummary Of(LoadProblem problem, LoadPlan plan)
    {
        var pieces = problem.Pieces.ToDictionary(p => p.Id, StringComparer.Ordinal);
        var placed = plan.Shelves.SelectMany(s => s.Placements.Select(p => (Shelf: s, Placement: p, Piece: pieces[p.PieceId]))).ToList();
        var mass = placed.Sum(p => (p.Piece.MassG ?? 0) * p.Placement.Copies.Count);
        return new LoadSummary(
            LoadAdvice.Findings(problem, plan),
            LoadAdvice.Order(plan),
            [.. plan.Posts.SelectMany(p => p.Heights).GroupBy(h => h).OrderBy(g => g.Key).Select(g => (g.Key, g.Count()))],
            mass,
            placed.Where(p => p.Piece.MassG is null).Sum(p => p.Placement.Copies.Count),
            mass > 0 ? CentreOf(placed, mass) : null);
    }

    private static ChamberPoint CentreOf(List<(PlacedShelf Shelf, Placement Placement, LoadPiece Piece)> placed, decimal mass)
    {
        var (x, y, z) = (0m, 0m, 0m);
        foreach (var (shelf, placement, piece) in placed)
        {
            var (cx, cy) = MassCentre.Of(piece.Footprint, placement.X.Micrometres, placement.Y.Micrometres, placement.RotationThousandths);
            for (var level = 0; level < placement.Copies.Count; level++)
            {
                var grams = piece.MassG ?? 0;
                x += grams * (decimal)cx;
                y += grams * (decimal)cy;
                z += grams * (shelf.Top.Micrometres + (level * (piece.Stack?.Add.Micrometres ?? 0)) + (piece.Height.Micrometres / 2m));
            }
        }

        return new ChamberPoint(Whole(x / mass), Whole(y / mass), Whole(z / mass));
    }

    private static Length Whole(decimal micrometres) => new((long)decimal.Round(micrometres));
}
