namespace KilnShare.Core.CoFiring;

/// <summary>What a studio permits in its kilns, beyond the rules of the trade. Names are compared without regard to case.</summary>
public sealed record HouseRules
{
    /// <summary>The clays permitted, by name; null: any.</summary>
    public IReadOnlyList<string>? PermittedClays { get; init; }

    /// <summary>The glazes permitted, by name; null: any.</summary>
    public IReadOnlyList<string>? PermittedGlazes { get; init; }

    /// <summary>Ware of materials from outside needs a fired test and a catcher.</summary>
    public bool OutsideMaterialNeedsTestAndCatcher { get; init; }
}
