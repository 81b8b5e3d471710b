using KilnShare.Core.Common;
using KilnShare.Core.Loading.Geometry;

namespace KilnShare.Core.Loading.Finishing;

/// <summary>How far hands may be off on each shelf before two pieces touch.</summary>
internal static class HandRoom
{
    // Granted before rounding down, µm: what rounding turned corners to whole micrometres can cost.
    private const long Rounding = 2;

    // A tenth of a millimetre, µm.
    private const long Tenth = 100;

    /// <summary>
    /// The shelves with that figure: half of the least distance between a piece on the shelf and another that stands beside it, there or on a shelf next to it,
    /// rounded down to a tenth of a millimetre. Two pieces that may touch do not count; null where no two stand beside each other.
    /// </summary>
    public static IReadOnlyList<PlacedShelf> On(IReadOnlyList<PlacedShelf> shelves, IReadOnlyDictionary<string, LoadPiece> pieces)
    {
        var ware = shelves.SelectMany((s, i) => s.Placements.Select(p => new Standing(i, s, p, pieces[p.PieceId]))).ToList();
        var least = new long[shelves.Count];
        Array.Fill(least, LoadLimits.MaxLengthMicrometres);
        var beside = new bool[shelves.Count];
        for (var a = 0; a < ware.Count; a++)
        {
            for (var b = a + 1; b < ware.Count; b++)
            {
                var (one, other) = (ware[a], ware[b]);
                if ((one.Touch && other.Touch) || one.From >= other.To || other.From >= one.To) continue;
                (beside[one.Shelf], beside[other.Shelf]) = (true, true);
                var apart = Clearance.Between(one.Shape, other.Shape, Math.Max(least[one.Shelf], least[other.Shelf]));
                least[one.Shelf] = Math.Min(least[one.Shelf], apart);
                least[other.Shelf] = Math.Min(least[other.Shelf], apart);
            }
        }

        return [.. shelves.Select((s, i) => s with { HandsMayBeOff = beside[i] ? new Length((least[i] + Rounding) / 2 / Tenth * Tenth) : null })];
    }

    private sealed class Standing(int shelf, PlacedShelf on, Placement placement, LoadPiece piece)
    {
        public int Shelf { get; } = shelf;

        public PlacedShape Shape { get; } =
            PlacedShape.Of(piece.Footprint, placement.X.Micrometres, placement.Y.Micrometres, placement.RotationThousandths);

        public long From { get; } = on.Top.Micrometres;

        public long To { get; } = on.Top.Micrometres + piece.Height.Micrometres + ((placement.Copies.Count - 1) * (piece.Stack?.Add.Micrometres ?? 0));

        public bool Touch { get; } = piece.Touch;
    }
}
