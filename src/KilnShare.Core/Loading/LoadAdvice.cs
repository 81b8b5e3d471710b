using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading;

/// <summary>Something about a sound plan that whoever loads the kiln should know.</summary>
/// <param name="Code">Stable code.</param>
/// <param name="Message">What it is, with figures, and what to do; it counts shelves from 1, as papers do.</param>
/// <param name="Shelf">Index of the shelf.</param>
public sealed record LoadFinding(string Code, string Message, int Shelf);

/// <summary>What helps whoever loads the kiln: the order of loading, and what to look at twice.</summary>
public static class LoadAdvice
{
    /// <summary>Two stacked posts longer than this together are named, mm. Common practice, no source.</summary>
    public const long TallStackMm = 300;

    /// <summary>Beyond this span a shelf should be at least <see cref="WideShelfThicknessMm"/> thick, mm. Common practice, no source.</summary>
    public const long ThinShelfSpanMm = 500;

    /// <summary>Thickness of a shelf of wide span at least, mm. Common practice, no source.</summary>
    public const long WideShelfThicknessMm = 19;

    /// <summary>What to look at twice, from the lowest shelf up.</summary>
    public static IReadOnlyList<LoadFinding> Findings(LoadProblem problem, LoadPlan plan)
    {
        var found = new List<LoadFinding>();
        foreach (var shelf in plan.Shelves)
        {
            var tall = plan.Posts.Where(p => p.Carries.Contains(shelf.Index) && p.Heights.Count > 1 && p.To - p.From > Length.OfMm(TallStackMm)).ToList();
            if (tall.Count > 0)
            {
                found.Add(new LoadFinding(
                    "loading.tall-stacked-posts",
                    $"{tall.Count} posts under shelf {shelf.Index + 1} are two stacked, {tall[0].To - tall[0].From} together: "
                        + "set them with care, or use one long post.",
                    shelf.Index));
            }

            if (ThinFor(problem, shelf) is { } finding) found.Add(finding);
            if (UnmetOn(problem, shelf) is { } unmet) found.Add(unmet);
        }

        return found;
    }

    /// <summary>The order of loading: shelf by shelf from the lowest, on each from the far side to the near.</summary>
    public static IReadOnlyList<(int Shelf, Placement Placement)> Order(LoadPlan plan) =>
        [.. plan.Shelves.OrderBy(s => s.Top).ThenBy(s => s.Index)
            .SelectMany(s => s.Placements.OrderByDescending(p => p.Y).ThenBy(p => p.X).Select(p => (s.Index, p)))];

    private static LoadFinding? UnmetOn(LoadProblem problem, PlacedShelf shelf)
    {
        var pieces = problem.Pieces.ToDictionary(p => p.Id, StringComparer.Ordinal);
        var copies = shelf.Placements.Where(p => problem.IsUnmet(pieces[p.PieceId], shelf.Top)).Sum(p => p.Copies.Count);
        return copies == 0 ? null : new LoadFinding(
            "loading.heat-not-as-wished",
            $"{copies} pieces on shelf {shelf.Index + 1}, {shelf.Top} over the floor, asked for a hotter or cooler place than it has: "
                + "exchange them by hand, or let them be.",
            shelf.Index);
    }

    private static LoadFinding? ThinFor(LoadProblem problem, PlacedShelf shelf)
    {
        var kind = problem.Furniture.Shelves.First(s => string.Equals(s.Id, shelf.ShelfId, StringComparison.Ordinal));
        var span = SpanOf(kind);
        if (shelf.Placements.Count == 0 || span <= Length.OfMm(ThinShelfSpanMm) || kind.Thickness >= Length.OfMm(WideShelfThicknessMm)) return null;
        var masses = problem.Pieces.ToDictionary(p => p.Id, p => p.MassG ?? 0, StringComparer.Ordinal);
        var grams = shelf.Placements.Sum(p => masses[p.PieceId] * p.Copies.Count);
        return new LoadFinding(
            "loading.thin-shelf",
            $"Shelf {shelf.Index + 1} is {kind.Thickness} thick over {span} and carries {grams / 1000m:0.#} kg of ware of known mass: "
                + $"put it higher and lighter, or use one of {WideShelfThicknessMm} mm.",
            shelf.Index);
    }

    private static Length SpanOf(ShelfStock kind)
    {
        var region = new Region();
        region.KeepInside(kind.Footprint, 0, 0, 0, 0);
        var (minX, maxX, minY, maxY) = region.Box;
        return new Length((long)Math.Round(Math.Max(maxX - minX, maxY - minY)));
    }
}
