using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Studios;

/// <summary>The group that shares kilns. Everything else belongs to exactly one.</summary>
public sealed class Studio(Id<Studio> studioId, string name, string timeZone, string currency, decimal perKwh, Instant createdAt) : IEditable
{
    /// <summary>Its identity, the first part of every key in the house.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>What its members call it.</summary>
    public string Name { get; set; } = name;

    /// <summary>Its IANA time zone.</summary>
    public string TimeZone { get; set; } = timeZone;

    /// <summary>ISO 4217 code of the money it keeps its books in.</summary>
    public string Currency { get; private set; } = currency;

    /// <summary>Flat price of a kWh, major units of its currency, six places at most.</summary>
    public decimal PerKwh { get; set; } = perKwh;

    /// <summary>True when a later, smaller booking may pass those who wait.</summary>
    public bool AllowsOvertaking { get; set; }

    /// <summary>Who reads everybody's amounts in what firings cost.</summary>
    public AmountsShownTo AmountsShownTo { get; set; }

    /// <summary>When it was made.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>Raised by every edit.</summary>
    public long Version { get; set; } = 1;
}
