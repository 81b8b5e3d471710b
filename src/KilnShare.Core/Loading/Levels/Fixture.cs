using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Loading.Shelves;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Loading.Levels;

/// <summary>Something in its place that ware keeps from.</summary>
/// <param name="Footprint">Its outline.</param>
/// <param name="X">Its origin, µm.</param>
/// <param name="Y">Its origin, µm.</param>
/// <param name="Turn">Thousandths of a degree.</param>
/// <param name="Clearance">What is owed, µm.</param>
/// <param name="From">It matters to ware that reaches above this, µm over the floor.</param>
/// <param name="To">It matters to ware that begins below this.</param>
internal sealed record Fixture(Footprint Footprint, long X, long Y, int Turn, long Clearance, long From, long To)
{
    public ExactObstacle AsExactObstacle() => new(PlacedShape.Of(Footprint, X, Y, Turn), Clearance, From, To);

    public Obstacle AsObstacle()
    {
        var shape = Shape.Of(Footprint);
        var (cos, sin) = Turning.Of(Turn);
        return new Obstacle(
            shape, X + (cos * shape.CentreX) - (sin * shape.CentreY), Y + (sin * shape.CentreX) + (cos * shape.CentreY), Turn, Clearance, From, To);
    }
}
