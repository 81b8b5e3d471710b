using KilnShare.Core.Common;

namespace KilnShare.Core.Costs;

/// <summary>By what a part of the cost is divided.</summary>
public enum CostBasis
{
    /// <summary>The same for everyone.</summary>
    Equal,

    /// <summary>Number of pieces.</summary>
    Pieces,

    /// <summary>Shelf area.</summary>
    Footprint,

    /// <summary>The spacing envelope of the ware (<see cref="SpacingEnvelope"/>).</summary>
    Volume,

    /// <summary>Mass of the ware.</summary>
    Mass,

    /// <summary>The height each member's tallest piece claims on each level (<see cref="AirportGame"/>).</summary>
    LevelHeight,

    /// <summary>The heat a member's own ware took, and the rest of the metered energy by volume.</summary>
    Kwh,

    /// <summary>All of it to one member.</summary>
    Direct,
}

/// <summary>Who pays for room that nobody used.</summary>
public enum UnusedSpace
{
    /// <summary>Those who fired, in proportion.</summary>
    Spread,

    /// <summary>The studio, in the parts divided by volume.</summary>
    Studio,
}

/// <summary>One part of what a firing cost, and how it is divided.</summary>
/// <param name="Name">What it is for, e.g. <c>energy</c>.</param>
/// <param name="AmountMinor">Minor units; negative for a credit.</param>
/// <param name="Basis">By what it is divided.</param>
/// <param name="To">The member who bears it, where the basis is direct.</param>
/// <param name="EnergyKwh">The energy metered for it, where the basis is kwh.</param>
public sealed record CostPart(string Name, long AmountMinor, CostBasis Basis, string? To = null, decimal? EnergyKwh = null)
{
    /// <summary>True for what one member alone is credited: no least charge takes it away.</summary>
    public bool IsCredit => Basis == CostBasis.Direct && AmountMinor < 0;
}

/// <summary>What one member's ware took of the firing; null where it was not measured and no part asks for it.</summary>
/// <param name="Id">The member.</param>
/// <param name="Pieces">Number of pieces.</param>
/// <param name="FootprintCm2">Shelf area, cm², three decimals at most, as all below.</param>
/// <param name="VolumeCm3">Spacing envelopes, cm³.</param>
/// <param name="MassG">Mass, g.</param>
/// <param name="OwnHeatKwh">Heat that went into this ware alone, kWh.</param>
/// <param name="LevelHeightsMm">The tallest piece on each level, mm; 0 where there is none.</param>
public sealed record MemberUse(
    string Id,
    long? Pieces = null,
    decimal? FootprintCm2 = null,
    decimal? VolumeCm3 = null,
    decimal? MassG = null,
    decimal? OwnHeatKwh = null,
    IReadOnlyList<decimal>? LevelHeightsMm = null)
{
    /// <summary>Of the volume, that of test ware, cm³; null: none.</summary>
    public decimal? TestVolumeCm3 { get; init; }
}

/// <summary>A firing's cost and who took part.</summary>
/// <param name="Currency">Of every amount.</param>
/// <param name="Parts">What it cost.</param>
/// <param name="Members">Who fired what; their order does not matter.</param>
/// <param name="TieSeed">Varies from firing to firing, so that nobody pays the odd cent every time.</param>
/// <param name="MinimumMinor">The least a member pays before what that member alone is credited; 0: none.</param>
/// <param name="UnusedSpace">Who pays for empty room.</param>
/// <param name="CapacityCm3">What the kiln holds; needed where the studio pays for empty room.</param>
public sealed record CostSplitRequest(
    Currency Currency,
    IReadOnlyList<CostPart> Parts,
    IReadOnlyList<MemberUse> Members,
    string TieSeed = "",
    long MinimumMinor = 0,
    UnusedSpace UnusedSpace = UnusedSpace.Spread,
    decimal? CapacityCm3 = null);
