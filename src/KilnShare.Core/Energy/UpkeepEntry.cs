using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>What was done to a kiln or measured on it.</summary>
public enum UpkeepKind
{
    /// <summary>All elements are new.</summary>
    ElementsReplaced,

    /// <summary>The thermocouple is new.</summary>
    ThermocoupleReplaced,

    /// <summary>The resistance of the elements was measured, cold.</summary>
    Resistance,
}

/// <summary>An entry in a kiln's upkeep book.</summary>
public sealed class UpkeepEntry(Id<Studio> studioId, Id<UpkeepEntry> id, Id<Kiln> kilnId, UpkeepKind kind, Instant at)
{
    /// <summary>Greatest resistance that is believed, Ω.</summary>
    public const decimal MostOhms = 10_000;

    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<UpkeepEntry> Id { get; private set; } = id;

    /// <summary>The kiln.</summary>
    public Id<Kiln> KilnId { get; private set; } = kilnId;

    /// <summary>What was done.</summary>
    public UpkeepKind Kind { get; private set; } = kind;

    /// <summary>When.</summary>
    public Instant At { get; private set; } = at;

    /// <summary>What was measured, Ω; null where nothing was.</summary>
    public decimal? Ohms { get; init; }

    /// <summary>A word on it; null where there is none.</summary>
    public string? Note { get; init; }

    /// <summary>Who wrote it down.</summary>
    public Id<Member> MemberId { get; init; }
}
