namespace KilnShare.Core.Outcomes;

/// <summary>What is seen on fired ware. Terms of the trade.</summary>
public enum Defect
{
    /// <summary>Fine cracks in the glaze.</summary>
    Crazing,

    /// <summary>Glaze springs off at edges.</summary>
    Shivering,

    /// <summary>Glaze drew back from bare patches.</summary>
    Crawling,

    /// <summary>Small holes.</summary>
    Pinholing,

    /// <summary>Blisters.</summary>
    Blistering,

    /// <summary>Glaze ran.</summary>
    Running,

    /// <summary>Body swelled.</summary>
    Bloating,

    /// <summary>Out of shape.</summary>
    Warping,

    /// <summary>Cracked through.</summary>
    Cracking,

    /// <summary>Dull, dry, not melted.</summary>
    Underfired,

    /// <summary>Colour not as hoped.</summary>
    ColourOff,

    /// <summary>Stuck to shelf or neighbour.</summary>
    Stuck,

    /// <summary>Burst in the kiln.</summary>
    Burst,

    /// <summary>Cracked in cooling, from rim or foot, with sharp edges.</summary>
    Dunting,

    /// <summary>Glossier, thinner or more run together than meant: too hot or too long.</summary>
    Overfired,
}

/// <summary>How much of a defect there is.</summary>
public enum DefectExtent
{
    /// <summary>Seen when looked for.</summary>
    Slight,

    /// <summary>Seen at once.</summary>
    Clear,

    /// <summary>It decides what becomes of the piece.</summary>
    Severe,
}

/// <summary>A defect in more detail.</summary>
/// <param name="Defect">Which.</param>
/// <param name="Extent">How much of it; null where that was not said.</param>
/// <param name="Where">Where on the piece, such as "rim" or "inside the foot"; null where that was not said.</param>
public sealed record DefectDetail(Defect Defect, DefectExtent? Extent, string? Where);
