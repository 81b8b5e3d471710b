using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>Something exact that ware on a shelf keeps from.</summary>
/// <param name="Shape">Its outline.</param>
/// <param name="Clearance">What is owed, µm.</param>
/// <param name="From">It matters to ware that reaches above this, µm over the floor.</param>
/// <param name="To">It matters to ware that begins below this.</param>
internal sealed record ExactObstacle(PlacedShape Shape, long Clearance, long From, long To);

/// <summary>Where ware may stand on one shelf: for the search, and exactly.</summary>
/// <param name="Region">For the search.</param>
/// <param name="Shelf">The shelf's outline.</param>
/// <param name="Chamber">The chamber's outline.</param>
/// <param name="Wall">Owed to the chamber's wall, µm.</param>
/// <param name="ExactObstacles">Posts and keep-outs and shelves passed.</param>
/// <param name="ShelfTop">The shelf's upper face, µm over the floor.</param>
/// <param name="Height">Height of the tallest ware allowed, µm.</param>
internal sealed record TraySpace(
    Region Region, PlacedShape Shelf, PlacedShape Chamber, long Wall, IReadOnlyList<ExactObstacle> ExactObstacles, long ShelfTop, long Height)
{
    /// <summary>Area of the shelf's outline, µm².</summary>
    public double Area { get; init; }
}

/// <summary>Distances of the problem as the search uses them, µm.</summary>
/// <param name="Gap">Between pieces.</param>
/// <param name="Margin">Kept beyond what is asked; exact checks use it.</param>
internal sealed record Distances(long Gap, long Margin)
{
    /// <summary>What the overlap search keeps beyond what is asked, so that rounding may cost up to 5 µm.</summary>
    public double SearchMargin => Margin + 5;
}
