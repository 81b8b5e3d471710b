using KilnShare.Core.Materials;

namespace KilnShare.Core.Pieces;

/// <summary>The way of one copy, with what is still to go on it.</summary>
public static class CopyRoute
{
    /// <summary>The firings it still needs.</summary>
    /// <param name="making">What the piece is made as.</param>
    /// <param name="copy">The copy.</param>
    /// <param name="kindOf">The sort of each of the studio's glazes.</param>
    public static Route Of(PieceMaking making, PieceCopy copy, Func<PieceLayer, GlazeKind> kindOf)
    {
        var on = making.LayersOnAt(copy.Stage);
        var raw = making.Layers.Skip(copy.LayersFiredAt.Count).Select(kindOf).ToList();
        var glazedRaw = making.Layers.Take(on).Skip(copy.LayersFiredAt.Count).Any(layer => kindOf(layer) == GlazeKind.Glaze);
        return Route.Of(copy.Stage, raw, making.SingleFire ?? glazedRaw);
    }
}
