using KilnShare.Core.Pieces;

namespace KilnShare.Core.Firings;

/// <summary>What a firing is to do to the ware.</summary>
public enum FiringKind
{
    /// <summary>First firing of greenware.</summary>
    Bisque,

    /// <summary>Sets underglaze before the glaze goes on.</summary>
    UnderglazeSet,

    /// <summary>Matures body and glaze.</summary>
    Glaze,

    /// <summary>Greenware and glaze in one firing.</summary>
    SingleFire,

    /// <summary>Lustre, enamel and decals on finished glaze.</summary>
    Overglaze,
}

/// <summary>What kinds of firing make of ware.</summary>
public static class FiringKinds
{
    /// <summary>The stage that a firing leaves ware in; overglaze and further glaze firings leave it glazed.</summary>
    public static Stage StageAfter(this FiringKind kind, Stage before) => kind switch
    {
        FiringKind.Bisque => Stage.Bisque,
        FiringKind.UnderglazeSet => before == Stage.Greenware ? Stage.Bisque : before,
        _ => Stage.Glazed,
    };
}
