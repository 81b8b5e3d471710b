namespace KilnShare.Core.Loading.Shelves;

/// <summary>Circles sorted by where their centres are, in square cells, so that those near a point are found at once.</summary>
internal sealed class CurveGrid
{
    private readonly double left;
    private readonly double bottom;
    private readonly double cell;
    private readonly int across;
    private readonly int along;
    private readonly List<ContactCurve>[] cells;

    /// <summary>Cells at least so wide.</summary>
    public CurveGrid((double MinX, double MaxX, double MinY, double MaxY) box, double reach)
    {
        var (width, depth) = (box.MaxX - box.MinX, box.MaxY - box.MinY);
        (left, bottom, cell) = (box.MinX, box.MinY, Math.Max(reach, Math.Max(width, depth) / ShelfTuning.CellsAcross));
        (across, along) = (1 + (int)(width / cell), 1 + (int)(depth / cell));
        cells = new List<ContactCurve>[across * along];
    }

    public void Add(ContactCurve curve)
    {
        ref var bucket = ref cells[(Row(curve.Y) * across) + Column(curve.X)];
        (bucket ??= []).Add(curve);
    }

    /// <summary>Lists all circles with centres within so many cells of the point, and perhaps more.</summary>
    public List<ContactCurve> About(double x, double y, int reach, List<ContactCurve> found)
    {
        found.Clear();
        var (row, column) = (Row(y), Column(x));
        for (var r = Math.Max(0, row - reach); r <= Math.Min(along - 1, row + reach); r++)
        {
            for (var c = Math.Max(0, column - reach); c <= Math.Min(across - 1, column + reach); c++)
            {
                if (cells[(r * across) + c] is { } bucket) found.AddRange(bucket);
            }
        }

        return found;
    }

    private int Row(double y) => Math.Clamp((int)((y - bottom) / cell), 0, along - 1);

    private int Column(double x) => Math.Clamp((int)((x - left) / cell), 0, across - 1);
}
