using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>A firing's cost as it was shared: once, and again only as a correction with a higher number.</summary>
public sealed class FiringSettlement(
    Id<Studio> studioId, Id<Firing> firingId, int revision, decimal energyKwh, CostSplitAnswer split, string currency, Instant settledAt)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>1, and one more for each correction.</summary>
    public int Revision { get; private set; } = revision;

    /// <summary>The energy shared, kWh.</summary>
    public decimal EnergyKwh { get; private set; } = energyKwh;

    /// <summary>Who bears what.</summary>
    public CostSplitAnswer Split { get; private set; } = split;

    /// <summary>ISO 4217 code.</summary>
    public string Currency { get; private set; } = currency;

    /// <summary>What it was divided by, kept so that a correction divides by the same again.</summary>
    public required FiringCostBasis Basis { get; init; }

    /// <summary>Why it was corrected; null for the first.</summary>
    public string? Reason { get; init; }

    /// <summary>Who settled it.</summary>
    public Id<Member> MemberId { get; init; }

    /// <summary>When.</summary>
    public Instant SettledAt { get; private set; } = settledAt;
}
