using KilnShare.Core.Common;

namespace KilnShare.Core.Energy;

/// <summary>What a firing took by its meter.</summary>
public static class MeteredEnergy
{
    /// <summary>Refuses a reading that shows less than the one before it without saying why.</summary>
    public static Refusal? Check(MeterReading? before, MeterReading reading)
    {
        if (before is null) return null;
        if (reading.ReadAt <= before.ReadAt)
            return Refusal.Rule("energy.reading-out-of-order", $"The last reading was at {before.ReadAt}. Give a later time.", "/readAt");
        if (reading.Event is null && reading.RegisterKwh < before.RegisterKwh)
        {
            return Refusal.Rule(
                "energy.register-fell",
                $"The register showed {before.RegisterKwh} kWh before and {reading.RegisterKwh} kWh now. Read it again; if it rolled over or the meter was exchanged, say so with event and eventKwh.",
                "/registerKwh");
        }

        return reading.Event is not null && reading.EventKwh < before.RegisterKwh
            ? Refusal.Rule("energy.event-too-low", $"The register had reached {before.RegisterKwh} kWh already: eventKwh is at least that.", "/eventKwh") : null;
    }

    /// <summary>The energy from the first reading to the last, kWh, over rollovers and exchanges (a new meter begins at 0); null with fewer than two.</summary>
    public static decimal? KwhOf(IReadOnlyList<MeterReading> readings)
    {
        if (readings.Count < 2) return null;
        var sum = 0m;
        for (var i = 1; i < readings.Count; i++)
        {
            var (before, now) = (readings[i - 1].RegisterKwh, readings[i].RegisterKwh);
            sum += readings[i].EventKwh is { } end ? end - before + now : now - before;
        }

        return sum;
    }
}
