using KilnShare.Core.Cones;

namespace KilnShare.Core.Materials;

/// <summary>What sort of coat it is.</summary>
public enum GlazeKind
{
    /// <summary>A glaze proper.</summary>
    Glaze,

    /// <summary>Colour under the glaze.</summary>
    Underglaze,

    /// <summary>A slip coat.</summary>
    Engobe,

    /// <summary>A metallic film fired low.</summary>
    Lustre,

    /// <summary>Overglaze enamel.</summary>
    Enamel,

    /// <summary>A printed transfer.</summary>
    Decal,
}

/// <summary>How a coat behaves at its cone.</summary>
public enum Movement
{
    /// <summary>Stays where it was put.</summary>
    Stable,

    /// <summary>Thickens and sags.</summary>
    Moves,

    /// <summary>Runs off the ware.</summary>
    Runs,
}

/// <summary>Substances that reach beyond the ware they are on, or into food.</summary>
public enum Substance
{
    /// <summary>Chromium oxide.</summary>
    Chromium,

    /// <summary>Tin oxide.</summary>
    Tin,

    /// <summary>Copper.</summary>
    Copper,

    /// <summary>Lead.</summary>
    Lead,

    /// <summary>Cadmium.</summary>
    Cadmium,

    /// <summary>Manganese.</summary>
    Manganese,

    /// <summary>Barium.</summary>
    Barium,

    /// <summary>Lithium.</summary>
    Lithium,

    /// <summary>Vanadium.</summary>
    Vanadium,

    /// <summary>Selenium.</summary>
    Selenium,

    /// <summary>Salt.</summary>
    Salt,
}

/// <summary>A substance in a material.</summary>
/// <param name="What">Which.</param>
/// <param name="Percent">How much, percent by mass; null where not known.</param>
public sealed record Ingredient(Substance What, decimal? Percent = null);

/// <summary>What is known of a glaze, underglaze, engobe, lustre, enamel or decal. Null is "not known".</summary>
/// <param name="Name">Its name.</param>
/// <param name="Cones">The range in which it does what it is for; null where nobody knows.</param>
public sealed record Glaze(string Name, ConeRange? Cones)
{
    /// <summary>What sort of coat; a glaze proper where not said.</summary>
    public GlazeKind Kind { get; init; }

    /// <summary>The atmospheres it is for.</summary>
    public IReadOnlyList<Atmosphere>? Atmospheres { get; init; }

    /// <summary>Its thermal expansion.</summary>
    public Expansion? Expansion { get; init; }

    /// <summary>Hazardous or volatile substances in it; an empty list says "none", null says "not known".</summary>
    public IReadOnlyList<Ingredient>? Contains { get; init; }

    /// <summary>Its label says that it is free of lead; absent means that the label does not say.</summary>
    public bool? LeadFreeByLabel { get; init; }

    /// <summary>How it behaves at its cone.</summary>
    public Movement? Movement { get; init; }
}
