using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>
/// Places for a piece nearly as large as its shelf: turned as the shelf is, or with a side along one of the shelf's. The overlap search replaces
/// arcs by tangents and keeps a margin, so it finds no such place.
/// </summary>
internal static class TightPlaces
{


    // Kept from each edge, µm: rounding the place and a corner to whole micrometres costs 0.7 µm each.
    private const double Kept = 2;

    // Where the search for places begins, µm: no ware's origin is farther from the chamber's middle.
    private const double Far = 4 * LoadLimits.MaxLengthMicrometres;

    /// <summary>The first such place that is free; null when there is none.</summary>
    public static PlacedItem? Find(Tray tray, Item item)
    {
        var (minX, maxX, minY, maxY) = tray.Space.Region.Box;
        if (2 * item.Shape.Bound < ShelfTuning.TightLength * Math.Min(maxX - minX, maxY - minY)) return null;
        var outline = TightOutline.Of(item.Piece.Footprint);
        foreach (var turn in Turns(tray.Space.Region, outline, item))
        {
            foreach (var (x, y) in Places(tray.Space, outline, turn))
            {
                var placedItem = new PlacedItem(item, 1, (long)Math.Round(x), (long)Math.Round(y), turn);
                if (tray.Allows(placedItem)) return placedItem;
            }
        }

        return null;
    }

    private static List<int> Turns(Region region, TightOutline outline, Item item)
    {
        if (!item.Piece.MayTurn || item.Shape.IsDisc) return [0];
        var along = new SortedDictionary<int, double> { [0] = 0 };
        foreach (var (nx, ny, _) in region.Planes)
        {
            foreach (var (sideX, sideY, length) in outline.Sides)
            {
                var turn = Turning.Between(sideX, sideY, nx, ny) % item.Shape.Period;
                along[turn] = along.GetValueOrDefault(turn) + length;
            }
        }

        return [.. along.OrderByDescending(t => t.Value).ThenBy(t => t.Key).Take(ShelfTuning.TightTurns).Select(t => t.Key)];
    }

    // Places for its origin: the shelf's own origin, then as near the middle of a round edge as straight edges allow, then touching two edges.
    private static IEnumerable<(double X, double Y)> Places(TraySpace space, TightOutline outline, int turn)
    {
        yield return (space.Shelf.X / 2, space.Shelf.Y / 2);
        var (cos, sin) = Turning.Of(turn);
        List<(double X, double Y)> places = [(-Far, -Far), (Far, -Far), (Far, Far), (-Far, Far)];
        foreach (var (nx, ny, limit) in space.Region.Planes)
            places = Cut(places, nx, ny, limit - Kept - outline.Reach((cos * nx) + (sin * ny), (cos * ny) - (sin * nx)));
        if (places.Count == 0) yield break;
        foreach (var (x, y, _) in space.Region.Discs.OrderBy(d => d.Radius))
            yield return Nearest(places, x - (cos * outline.MiddleX) + (sin * outline.MiddleY), y - (sin * outline.MiddleX) - (cos * outline.MiddleY));
        if (space.Region.Planes.Count == 0) yield break;
        yield return (places.Average(p => p.X), places.Average(p => p.Y));
        foreach (var place in places) yield return place;
    }

    // What of a convex polygon lies below a line (Sutherland and Hodgman 1974).
    private static List<(double X, double Y)> Cut(List<(double X, double Y)> polygon, double nx, double ny, double limit)
    {
        var kept = new List<(double X, double Y)>(polygon.Count + 1);
        for (var i = 0; i < polygon.Count; i++)
        {
            var (a, b) = (polygon[i], polygon[(i + 1) % polygon.Count]);
            var (over, next) = ((nx * a.X) + (ny * a.Y) - limit, (nx * b.X) + (ny * b.Y) - limit);
            if (over <= 0) kept.Add(a);
            if (over * next >= 0) continue;
            var part = over / (over - next);
            kept.Add((a.X + (part * (b.X - a.X)), a.Y + (part * (b.Y - a.Y))));
        }

        return kept;
    }

    private static (double X, double Y) Nearest(List<(double X, double Y)> polygon, double x, double y)
    {
        var (best, least, inside) = (polygon[0], double.PositiveInfinity, true);
        for (var i = 0; i < polygon.Count; i++)
        {
            var (a, b) = (polygon[i], polygon[(i + 1) % polygon.Count]);
            inside &= Plane.Cross(a, b, (x, y)) >= 0;
            var (dx, dy) = (b.X - a.X, b.Y - a.Y);
            var length = (dx * dx) + (dy * dy);
            var part = length == 0 ? 0 : Math.Clamp((((x - a.X) * dx) + ((y - a.Y) * dy)) / length, 0, 1);
            var foot = (X: a.X + (part * dx), Y: a.Y + (part * dy));
            var away = Plane.Distance(foot.X, foot.Y, x, y);
            if (away < least) (best, least) = (foot, away);
        }

        return inside ? (x, y) : best;
    }
}
