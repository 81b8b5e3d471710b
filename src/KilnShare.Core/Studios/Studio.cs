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

    /// <summary>When whoever runs the installation closed it: it can be read, and nothing more is written; null while it is open.</summary>
    public Instant? ClosedAt { get; private set; }

    /// <summary>Why it was closed; null while it is open.</summary>
    public string? ClosedReason { get; private set; }

    /// <summary>Closes it for a reason, or with none opens it again.</summary>
    public void Close(string? reason, Instant now) => (ClosedReason, ClosedAt) = (reason, reason is null ? null : ClosedAt ?? now);

    /// <summary>Raised by every edit.</summary>
    public long Version { get; set; } = 1;
}
