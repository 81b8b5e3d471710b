namespace KilnShare.Core.Pieces;

/// <summary>What the ware has been fired to.</summary>
public enum Stage
{
    /// <summary>Not fired yet.</summary>
    Greenware,

    /// <summary>Bisque fired.</summary>
    Bisque,

    /// <summary>Glaze fired, with a firing still to come.</summary>
    Glazed,

    /// <summary>Needs no further firing.</summary>
    Finished,

    /// <summary>Broken, melted or given up.</summary>
    Lost,
}

/// <summary>How dry greenware is.</summary>
public enum Dryness
{
    /// <summary>Plastic.</summary>
    Wet,

    /// <summary>Stiff, still cool and damp.</summary>
    LeatherHard,

    /// <summary>Dry through: room temperature to the touch.</summary>
    Dry,
}

/// <summary>Where a lid is while its jar is fired.</summary>
public enum Lid
{
    /// <summary>On its jar.</summary>
    InPlace,

    /// <summary>Beside it.</summary>
    Apart,
}
