using KilnShare.Core.Cones;

namespace KilnShare.Core.Materials;

/// <summary>What burns in the kiln, and with how much air.</summary>
public enum Atmosphere
{
    /// <summary>Air in excess.</summary>
    Oxidation,

    /// <summary>Neither.</summary>
    Neutral,

    /// <summary>Fuel in excess.</summary>
    Reduction,

    /// <summary>Salt or soda vapour.</summary>
    SaltSoda,

    /// <summary>Wood, with its ash.</summary>
    Wood,
}

/// <summary>A thermal expansion figure with the way it was come by; figures of different methods are not compared.</summary>
/// <param name="PpmPerC">Mean linear expansion, ×10⁻⁶ per °C.</param>
/// <param name="Method">How and over which range, in the maker's words; null where not known.</param>
public sealed record Expansion(decimal PpmPerC, string? Method);

/// <summary>What is known of a clay body. Null is "not known", never "none".</summary>
/// <param name="Name">Its name.</param>
/// <param name="Cones">The range in which it is to be matured; its upper end is a limit. Null where nobody knows.</param>
public sealed record ClayBody(string Name, ConeRange? Cones)
{
    /// <summary>The range its bisque should be fired in.</summary>
    public ConeRange? BisqueCones { get; init; }

    /// <summary>The atmospheres it stands.</summary>
    public IReadOnlyList<Atmosphere>? Atmospheres { get; init; }

    /// <summary>Its thermal expansion when mature.</summary>
    public Expansion? Expansion { get; init; }

    /// <summary>Water absorption when mature, percent of the dry mass (C373).</summary>
    public decimal? AbsorptionPercent { get; init; }

    /// <summary>Linear shrinkage from wet to fired, percent.</summary>
    public decimal? ShrinkagePercent { get; init; }

    /// <summary>Hazardous or volatile substances in it.</summary>
    public IReadOnlyList<Ingredient>? Contains { get; init; }

    /// <summary>Paper pulp, sawdust or the like is mixed in, and burns out in the first firing.</summary>
    public bool? Organics { get; init; }
}
