using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>Something that stands on one shelf, or is to stand there, as the overlap search sees it.</summary>
/// <param name="Shape">Its outline.</param>
/// <param name="Height">From foot to top, µm.</param>
/// <param name="MayTurn">Whether the search may turn it.</param>
/// <param name="Touch">Whether it may touch others that may touch.</param>
/// <param name="Fixed">True when it must not move.</param>
internal readonly record struct OverlapItem(Shape Shape, long Height, bool MayTurn, bool Touch, bool Fixed);
