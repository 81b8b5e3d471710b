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

    /// <summary>What the register showed, three decimals at most: kWh, or the unit that <see cref="KwhPerUnit"/> is of.</summary>
    public decimal RegisterKwh { get; private set; } = registerKwh;

    /// <summary>Longest name of a meter.</summary>
    public const int MaxMeter = 40;

    /// <summary>The name of a firing's only meter.</summary>
    public const string MainMeter = "main";

    /// <summary>Which meter, in the studio's words; the meters of one firing are parts of it and add up.</summary>
    public string Meter { get; init; } = MainMeter;

    /// <summary>True where other kilns hang on that meter too: its readings are one series over all their firings.</summary>
    public bool IsShared { get; init; }

    /// <summary>For a gas meter, the heat of one unit of its register (of a cubic metre), kWh; null where the register shows kWh.</summary>
    public decimal? KwhPerUnit { get; init; }

    /// <summary>What happened to the meter since the reading before.</summary>
    public MeterEvent Event { get; init; }

    /// <summary>At a rollover, the first figure the register cannot show, kWh; null otherwise.</summary>
    public decimal? RollsOverAtKwh { get; init; }

    /// <summary>At an exchange, what the new meter showed at its start, kWh; null otherwise.</summary>
    public decimal? NewRegisterKwh { get; init; }

    /// <summary>Who read it.</summary>
    public Id<Member> MemberId { get; init; }

    /// <summary>When it was struck: it counts nowhere since; null while it counts.</summary>
    public Instant? StruckAt { get; private set; }

    /// <summary>Who struck it.</summary>
    public Id<Member>? StruckBy { get; private set; }

    /// <summary>Why it was struck.</summary>
    public string? StruckBecause { get; private set; }

    /// <summary>Takes the reading out of every count; it stays to be seen. Once only.</summary>
    public void Strike(Id<Member> by, string because, Instant at) => (StruckBy, StruckBecause, StruckAt) = (by, because, at);

    /// <summary>The readings of one meter as one series of kWh, or the first that does not follow.</summary>
    public static Result<MeterSeries> SeriesOf(IReadOnlyList<MeterEntry> entries) => MeterSeries.Create(
        [.. entries.Select(e => new MeterReading(e.ReadAt, e.RegisterKwh, e.Event, e.NewRegisterKwh))],
        entries.Select(e => e.RollsOverAtKwh).FirstOrDefault(kwh => kwh is not null),
        entries.Select(e => e.KwhPerUnit).LastOrDefault(kwh => kwh is not null) ?? 1);
}
