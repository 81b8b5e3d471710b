using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Loading;

/// <summary>Distances by which hands find a place, against figures worked out by hand.</summary>
public sealed class TapeMeasuresTests
{
    private static readonly Footprint Round = new Footprint.Circle(Length.OfMm(100));
    private static readonly Footprint Tile = new Footprint.Rectangle(Length.OfMm(80), Length.OfMm(60));

    [Fact]
    public void Places_are_numbered_from_the_back_and_the_left_and_measured_from_what_stands_already()
    {
        // A round shelf of 500 mm: the back one 10 mm from the edge, two in a row before it.
        var measures = Of(new Footprint.Circle(Length.OfMm(500)), ("right", 100, -20, 0), ("back", 0, 190, 0), ("left", -60, -30, 0));
        Assert.Equal(["back", "left", "right"], measures.Select(m => m.Placement.PieceId));
        Assert.Equal([1, 2, 3], measures.Select(m => m.Number));
        Assert.Equal(Length.OfMm(10), measures[0].FromEdge);
        Assert.Null(measures[0].Beside);
        // The left one: sqrt(60² + 220²) - 100 = 128.035 mm from the back one; 250 - sqrt(60² + 30²) - 50 = 132.918 mm from the edge.
        Assert.Equal((1, 128.035m, 132.918m), (measures[1].Beside, measures[1].Apart!.Value.Mm, measures[1].FromEdge.Mm));
        // The right one: sqrt(160² + 10²) - 100 = 60.312 mm from the left one.
        Assert.Equal((2, 60.312m), (measures[2].Beside, measures[2].Apart!.Value.Mm));
    }

    [Fact]
    public void What_stands_over_the_edge_is_said_below_zero_and_a_turned_tile_by_its_corner()
    {
        var shelf = new Footprint.Rectangle(Length.OfMm(400), Length.OfMm(300));
        Assert.Equal(Length.OfMm(-5), Of(shelf, ("over", 155, 0, 0))[0].FromEdge);
        // A quarter turn: 60 mm wide, so 200 - 150 - 30 = 20 mm from the right edge.
        Assert.Equal(Length.OfMm(20), Of(shelf, ("tile", 150, 0, 90_000))[0].FromEdge);
        // Half a right angle: its corners lie (80 + 60) / 2 / sqrt(2) = 49.497 mm out.
        Assert.Equal(new Length(503), Of(shelf, ("tile", 150, 0, 45_000))[0].FromEdge);
    }

    private static IReadOnlyList<TapeMeasure> Of(Footprint shelf, params (string Id, int X, int Y, int Turned)[] ware) => TapeMeasures.Of(
        new PlacedShelf(
            0, "full", Length.Zero, Length.Zero, 0, Length.OfMm(44), Length.OfMm(200), 0,
            [.. ware.Select(w => new Placement(w.Id, [0], Length.OfMm(w.X), Length.OfMm(w.Y), w.Turned, false))]),
        shelf, p => p.PieceId == "tile" ? Tile : Round);
}
