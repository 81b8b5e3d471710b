using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>A piece, or a stack of alike copies, in its place on a shelf.</summary>
internal sealed class PlacedItem
{
    private PlacedShape? exact;

    public PlacedItem(Item item, int count, long x, long y, int turn, IReadOnlyList<int>? kept = null, IReadOnlyList<int>? were = null)
    {
        Item = item;
        Count = count;
        X = x;
        Y = y;
        Turn = turn;
        Kept = kept ?? [];
        Were = were ?? Kept;
        var (cos, sin) = Turning.Of(turn);
        CentreX = x + (cos * item.Shape.CentreX) - (sin * item.Shape.CentreY);
        CentreY = y + (sin * item.Shape.CentreX) + (cos * item.Shape.CentreY);
    }

    public Item Item { get; }

    public int Count { get; }

    /// <summary>The footprint's origin, µm.</summary>
    public long X { get; }

    public long Y { get; }

    /// <summary>Thousandths of a degree.</summary>
    public int Turn { get; }

    /// <summary>Copies that must stay here; empty where it is free to move.</summary>
    public IReadOnlyList<int> Kept { get; }

    /// <summary>Copies that stood here in the start plan, those that must stay first; empty where ware has come since.</summary>
    public IReadOnlyList<int> Were { get; }

    public double CentreX { get; }

    public double CentreY { get; }

    public long Height => Item.HeightOf(Count);

    public PlacedShape Exact => exact ??= PlacedShape.Of(Item.Piece.Footprint, X, Y, Turn);

    public PlacedItem WithCount(int count) => new(Item, count, X, Y, Turn, Kept, Were);

    /// <summary>The ware with its centre of turning there, rounded to whole micrometres.</summary>
    public static PlacedItem At(Item item, int count, double centreX, double centreY, int turn)
    {
        var (cos, sin) = Turning.Of(turn);
        var (cx, cy) = (item.Shape.CentreX, item.Shape.CentreY);
        return new PlacedItem(item, count, (long)Math.Round(centreX - (cos * cx) + (sin * cy)), (long)Math.Round(centreY - (sin * cx) - (cos * cy)), turn);
    }
}
