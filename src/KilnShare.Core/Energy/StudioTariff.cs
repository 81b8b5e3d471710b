using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>A tariff that a studio keeps under a name; it goes by the clock of the studio's zone.</summary>
public sealed class StudioTariff(Id<Studio> studioId, Id<StudioTariff> id, string name, TariffTerms terms, Instant createdAt)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<StudioTariff> Id { get; private set; } = id;

    /// <summary>What the studio calls it.</summary>
    public string Name { get; private set; } = name;

    /// <summary>What it says.</summary>
    public TariffTerms Terms { get; private set; } = terms;

    /// <summary>When it was written down.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>Raised by every edit.</summary>
    public long Version { get; set; } = 1;
}
