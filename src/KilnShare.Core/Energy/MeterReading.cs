using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>What a register did between the reading before and this one, where it did not simply climb.</summary>
public enum RegisterEvent
{
    /// <summary>It passed its highest figure and began again at zero.</summary>
    Rollover,

    /// <summary>The meter was exchanged for another.</summary>
    Exchange,
}

/// <summary>A register of an energy meter, read for a firing.</summary>
public sealed class MeterReading(Id<Studio> studioId, Id<MeterReading> id, Id<Firing> firingId, Instant readAt, decimal registerKwh)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<MeterReading> Id { get; private set; } = id;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>When it was read.</summary>
    public Instant ReadAt { get; private set; } = readAt;

    /// <summary>What the register showed, kWh, three decimals at most.</summary>
    public decimal RegisterKwh { get; private set; } = registerKwh;

    /// <summary>What happened to the register since the reading before; null where it simply climbed.</summary>
    public RegisterEvent? Event { get; init; }

    /// <summary>At a rollover, one more than the register's highest figure, kWh; at an exchange, the old meter's last figure.</summary>
    public decimal? EventKwh { get; init; }

    /// <summary>Who read it.</summary>
    public Id<Member> MemberId { get; init; }
}
