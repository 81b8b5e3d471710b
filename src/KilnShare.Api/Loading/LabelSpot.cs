using KilnShare.Api.Papers;

namespace KilnShare.Api.Loading;

/// <summary>The spot inside an outline with the most room around it, where a label goes.</summary>
/// <param name="At">The spot.</param>
/// <param name="Room">Distance from it to the nearest side.</param>
/// <remarks>Found on a grid that is made finer around its best point: exact enough for a label, also in outlines that are not convex.</remarks>
internal sealed record LabelSpot(Dot At, double Room)
{
    private const int Steps = 12;
    private const int Finer = 3;

    public static LabelSpot In(IReadOnlyList<Dot> corners)
    {
        var (left, right) = (corners.Min(c => c.X), corners.Max(c => c.X));
        var (top, bottom) = (corners.Min(c => c.Y), corners.Max(c => c.Y));
        var best = new LabelSpot(new Dot((left + right) / 2, (top + bottom) / 2), 0);
        best = best with { Room = RoomAt(corners, best.At) };
        var (width, height) = (right - left, bottom - top);
        for (var round = 0; round < Finer; round++, width /= Steps / 2.0, height /= Steps / 2.0)
        {
            var centre = best.At;
            for (var i = 0; i <= Steps; i++)
            {
                for (var j = 0; j <= Steps; j++)
                {
                    var at = new Dot(centre.X + (width * ((i / (double)Steps) - 0.5)), centre.Y + (height * ((j / (double)Steps) - 0.5)));
                    // The middle wins unless a spot is truly better, so that labels of alike ware sit alike.
                    if (RoomAt(corners, at) is var room && room > best.Room * 1.001) best = new LabelSpot(at, room);
                }
            }
        }

        return best;
    }

    /// <summary>The width to both sides of the spot that stays inside the outline from one height to another.</summary>
    public double WidthBetween(IReadOnlyList<Dot> corners, double fromY, double toY) =>
        2 * new[] { fromY, (fromY + toY) / 2, toY }.Min(y => HalfWidthAt(corners, y));

    private double HalfWidthAt(IReadOnlyList<Dot> corners, double y)
    {
        var (left, right) = (double.NegativeInfinity, double.PositiveInfinity);
        for (var i = 0; i < corners.Count; i++)
        {
            var (a, b) = (corners[i], corners[(i + 1) % corners.Count]);
            if (a.Y > y == b.Y > y) continue;
            var x = a.X + ((y - a.Y) / (b.Y - a.Y) * (b.X - a.X));
            if (x <= At.X) left = Math.Max(left, x);
            else right = Math.Min(right, x);
        }

        return double.IsInfinity(left) || double.IsInfinity(right) ? 0 : Math.Min(At.X - left, right - At.X);
    }

    private static double RoomAt(IReadOnlyList<Dot> corners, Dot at)
    {
        var (inside, nearest) = (false, double.PositiveInfinity);
        for (var i = 0; i < corners.Count; i++)
        {
            var (a, b) = (corners[i], corners[(i + 1) % corners.Count]);
            if (a.Y > at.Y != b.Y > at.Y && at.X < a.X + ((at.Y - a.Y) / (b.Y - a.Y) * (b.X - a.X))) inside = !inside;
            nearest = Math.Min(nearest, DistanceToSide(at, a, b));
        }

        return inside ? nearest : 0;
    }

    private static double DistanceToSide(Dot at, Dot a, Dot b)
    {
        var (dx, dy) = (b.X - a.X, b.Y - a.Y);
        var squared = (dx * dx) + (dy * dy);
        var t = squared == 0 ? 0 : Math.Clamp((((at.X - a.X) * dx) + ((at.Y - a.Y) * dy)) / squared, 0, 1);
        return Math.Sqrt(Math.Pow(at.X - a.X - (t * dx), 2) + Math.Pow(at.Y - a.Y - (t * dy), 2));
    }
}
