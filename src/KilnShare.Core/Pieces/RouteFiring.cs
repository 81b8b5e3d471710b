using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.Pieces;

/// <summary>A firing of a route, before which a coat goes on; in the order in which they come.</summary>
public enum RouteFiring
{
    /// <summary>The first firing of greenware.</summary>
    Bisque,

    /// <summary>The firing that sets colours before the glaze goes on, often a second bisque.</summary>
    UnderglazeSet,

    /// <summary>The one that matures body and glaze.</summary>
    Glaze,

    /// <summary>Greenware and glaze in one.</summary>
    SingleFire,

    /// <summary>A further glaze firing.</summary>
    Refire,

    /// <summary>Lustre, enamel and decals on finished glaze.</summary>
    Overglaze,
}

/// <summary>Which coats are on a piece by a firing: a firing changes only what was on by then.</summary>
public static class CoatsInTime
{
    /// <summary>
    /// What a firing is on the route of ware at a stage: a bisque of ware that is bisque sets its colours, a glaze firing of glazed ware is a refire.
    /// </summary>
    public static RouteFiring On(Stage stage, FiringKind kind) => kind switch
    {
        FiringKind.Bisque when stage == Stage.Greenware => RouteFiring.Bisque,
        FiringKind.Bisque or FiringKind.UnderglazeSet => RouteFiring.UnderglazeSet,
        FiringKind.Overglaze => RouteFiring.Overglaze,
        _ when stage is Stage.Glazed or Stage.Finished => RouteFiring.Refire,
        FiringKind.SingleFire => RouteFiring.SingleFire,
        _ => RouteFiring.Glaze,
    };

    /// <summary>
    /// How many coats are on by a firing, the lowest first: those that it finds fired, and those that go on before it or before one that it is taken
    /// instead of.
    /// </summary>
    /// <param name="making">What the piece is made as.</param>
    /// <param name="copy">How far the copy has come.</param>
    /// <param name="kind">The kind of firing.</param>
    /// <param name="kindOf">The sort of each of the studio's glazes.</param>
    public static int By(PieceMaking making, CopyState copy, FiringKind kind, Func<PieceLayer, GlazeKind> kindOf)
    {
        var firing = Rank(On(copy.Stage, kind));
        return making.Layers.TakeWhile((layer, i) => i < copy.LayersFiredAt.Count || Rank(layer.BeforeFiring(kindOf(layer))) <= firing).Count();
    }

    /// <summary>A coat may stand after another: it goes on no earlier. A refire may follow an overglaze firing.</summary>
    public static bool MayFollow(PieceLayer lower, PieceLayer upper)
    {
        if (lower.GoesOnBefore == RouteFiring.Overglaze && upper.GoesOnBefore == RouteFiring.Refire) return true;
        return Range(lower).First <= Range(upper).Last;
    }

    // What goes on bisque may go on before its colours are set or after, by what it is.
    private static (int First, int Last) Range(PieceLayer layer) => layer.GoesOnAt switch
    {
        Stage.Bisque => (Rank(RouteFiring.UnderglazeSet), Rank(RouteFiring.Glaze)),
        Stage.Glazed => (Rank(RouteFiring.Refire), Rank(RouteFiring.Overglaze)),
        _ => (Rank(layer.GoesOnBefore), Rank(layer.GoesOnBefore)),
    };

    private static int Rank(RouteFiring? firing) => firing switch
    {
        null => -1,
        RouteFiring.SingleFire => (int)RouteFiring.Glaze,
        _ => (int)firing,
    };
}
