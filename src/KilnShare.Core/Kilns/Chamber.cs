using KilnShare.Core.Common;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Kilns;

/// <summary>The space inside a kiln.</summary>
/// <param name="Footprint">Its outline inside the wall, centred on the origin of all coordinates.</param>
/// <param name="Height">From floor to lid.</param>
/// <param name="WallClearance">No ware nearer than this to the wall.</param>
/// <param name="LidClearance">No ware nearer than this to the lid.</param>
public sealed record Chamber(Footprint Footprint, Length Height, Length WallClearance, Length LidClearance);

/// <summary>Room that ware, posts and shelves stay out of, such as a thermocouple's or that of witness cones before the spy hole.</summary>
/// <param name="Footprint">Its outline.</param>
/// <param name="At">Where its origin is.</param>
/// <param name="From">Its lower end over the floor.</param>
/// <param name="To">Its upper end over the floor.</param>
public sealed record KeepOut(Footprint Footprint, PlanPoint At, Length From, Length To);

/// <summary>Shelves of one kind.</summary>
/// <param name="Id">Its short name within the kiln, e.g. <c>full</c>.</param>
/// <param name="Footprint">Its outline.</param>
/// <param name="Thickness">How thick.</param>
/// <param name="Count">How many there are.</param>
/// <param name="MassG">Mass of one, g; null: footprint × thickness × 2,000 kg/m³.</param>
public sealed record ShelfStock(string Id, Footprint Footprint, Length Thickness, int Count, decimal? MassG = null);

/// <summary>Posts of one length.</summary>
/// <param name="Height">Length of the post.</param>
/// <param name="Count">How many there are.</param>
public sealed record PostStock(Length Height, int Count);

/// <summary>Whether shelves stand on posts that exist, or clear heights are free.</summary>
public enum PostHeights
{
    /// <summary>Each shelf stands on at least three posts made from the stock.</summary>
    Stock,

    /// <summary>Clear heights are free; for calculations only.</summary>
    Any,
}

/// <summary>What a kiln is furnished with.</summary>
/// <param name="Shelves">Kinds of shelf.</param>
/// <param name="PostHeights">Whether heights come from the stock.</param>
/// <param name="Posts">Lengths of post.</param>
/// <param name="PostDiameter">Of every post; zero (with heights free) means posts take no room.</param>
/// <param name="PostInset">A post's centre is at least so far inside the edge of the shelf it carries.</param>
public sealed record Furniture(
    IReadOnlyList<ShelfStock> Shelves, PostHeights PostHeights, IReadOnlyList<PostStock> Posts, Length PostDiameter, Length PostInset);
