using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>A meter reading as a studio writes it down for a firing.</summary>
public sealed class MeterEntry(Id<Studio> studioId, Id<MeterEntry> id, Id<Firing> firingId, Instant readAt, decimal registerKwh)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<MeterEntry> Id { get; private set; } = id;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>When it was read.</summary>
    public Instant ReadAt { get; private set; } = readAt;

    /// <summary>What the register showed, kWh, three decimals at most.</summary>
    public decimal RegisterKwh { get; private set; } = registerKwh;

    /// <summary>What happened to the meter since the reading before.</summary>
    public MeterEvent Event { get; init; }

    /// <summary>At a rollover, the first figure the register cannot show, kWh; null otherwise.</summary>
    public decimal? RollsOverAtKwh { get; init; }

    /// <summary>At an exchange, what the new meter showed at its start, kWh; null otherwise.</summary>
    public decimal? NewRegisterKwh { get; init; }

    /// <summary>Who read it.</summary>
    public Id<Member> MemberId { get; init; }

    /// <summary>The readings of a firing as one series, or the first that does not follow.</summary>
    public static Result<MeterSeries> SeriesOf(IReadOnlyList<MeterEntry> entries) => MeterSeries.Create(
        [.. entries.Select(e => new MeterReading(e.ReadAt, e.RegisterKwh, e.Event, e.NewRegisterKwh))],
        entries.Select(e => e.RollsOverAtKwh).FirstOrDefault(kwh => kwh is not null));
}
