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
