using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Shelves;

/// <summary>A piece of the problem, prepared for the search.</summary>
internal sealed class Item
{
    /// <summary>Priorities are counted in whole ten-thousandths, so that sums are exact.</summary>
    public const long ValueUnits = 10_000;

    public Item(int index, LoadPiece piece, int group)
    {
        Index = index;
        Piece = piece;
        Group = group;
        Shape = Shape.Of(piece.Footprint);
        Height = piece.Height.Micrometres;
        Value = (long)(piece.Priority * ValueUnits);
        Mass = (double)(piece.MassG ?? 0);
        MostStacked = piece.Stack?.Most ?? 1;
        StackAdd = piece.Stack?.Add.Micrometres ?? 0;
    }

    public int Index { get; }

    public LoadPiece Piece { get; }

    public int Group { get; }

    public Heat? Wish => Piece.Wish;

    public Shape Shape { get; }

    public long Height { get; }

    public long Value { get; }

    public double Mass { get; }

    public int MostStacked { get; }

    public long StackAdd { get; }

    /// <summary>Height of a stack of so many, µm.</summary>
    public long HeightOf(int count) => Height + ((count - 1) * StackAdd);

    /// <summary>How many of so many copies stand on each other under that height; at least one.</summary>
    public int StackIn(long clearHeight, int copies) =>
        MostStacked < 2 || clearHeight <= Height ? 1
            : (int)Math.Clamp(StackAdd == 0 ? long.MaxValue : 1 + ((clearHeight - Height) / StackAdd), 1, Math.Max(1, Math.Min(MostStacked, copies)));
}
