namespace KilnShare.Core.Loading.Geometry;

/// <summary>How far apart shapes are, told by <see cref="Exact"/>: the same on every machine.</summary>
internal static class Clearance
{
    /// <summary>
    /// The distance of two shapes in whole µm, rounded down; 0 where they touch or overlap, <paramref name="most"/> where it is that or more.
    /// </summary>
    public static long Between(PlacedShape a, PlacedShape b, long most)
    {
        if (Exact.Apart(a, b, most)) return most;
        var (apart, near) = (0L, most);
        while (near - apart > 1)
        {
            var middle = apart + ((near - apart) / 2);
            if (Exact.Apart(a, b, middle)) apart = middle;
            else near = middle;
        }

        return apart;
    }
}
