using KilnShare.Core.Materials;

namespace KilnShare.Core.Pieces;

/// <summary>The way of one copy, with what is still to go on it.</summary>
public static class CopyRoute
{
    /// <summary>The firings it still needs.</summary>
    /// <param name="making">What the piece is made as.</param>
    /// <param name="copy">How far the copy has come.</param>
    /// <param name="kindOf">The sort of each of the studio's glazes.</param>
    public static Route Of(PieceMaking making, CopyState copy, Func<PieceLayer, GlazeKind> kindOf)
    {
        var raw = making.Layers.Skip(copy.LayersFiredAt.Count).Select(layer => (Kind: kindOf(layer), Before: layer.BeforeFiring(kindOf(layer)))).ToList();
        var single = making.SingleFire ?? raw.Exists(coat => coat is { Kind: GlazeKind.Glaze, Before: null or RouteFiring.SingleFire });
        return Route.Of(copy.Stage, [.. raw.Select(coat => coat.Kind)], single, [.. raw.Select(coat => coat.Before).OfType<RouteFiring>()]);
    }
}
