namespace KilnShare.Core.Loading.Levels;

/// <summary>A shelf over part of the deck below, at a height of its own.</summary>
/// <param name="Seat">Where it lies.</param>
/// <param name="Axes">The posts under it; empty where posts take no room.</param>
/// <param name="From">Feet of its posts over the deck's upper face, µm.</param>
/// <param name="Underside">Over the deck's upper face, µm.</param>
/// <param name="Thickness">µm.</param>
/// <param name="StandsOn">Which half level of the same deck it stands on; null the deck itself.</param>
internal sealed record HalfLevel(Seat Seat, Axis[] Axes, long From, long Underside, long Thickness, int? StandsOn)
{
    /// <summary>Its upper face over the deck's, µm.</summary>
    public long ShelfTop => Underside + Thickness;
}
