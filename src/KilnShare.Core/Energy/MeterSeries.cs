using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>What happened to a meter since the reading before.</summary>
public enum MeterEvent
{
    /// <summary>Nothing: the register can only have grown.</summary>
    None,

    /// <summary>The register ran past its last digit and began again at 0.</summary>
    Rollover,

    /// <summary>The meter was exchanged: this reading is the old one's last, and the new one starts where it says.</summary>
    Exchange,
}

/// <summary>A reading of an energy meter's register.</summary>
/// <param name="At">When.</param>
/// <param name="Kwh">What the register showed.</param>
/// <param name="Event">What happened since the reading before.</param>
/// <param name="NewRegisterKwh">Where the new meter starts, after an exchange.</param>
public sealed record MeterReading(Instant At, decimal Kwh, MeterEvent Event = MeterEvent.None, decimal? NewRegisterKwh = null);

/// <summary>Energy in an interval.</summary>
/// <param name="Kwh">To the watt-hour.</param>
/// <param name="Interpolated">True where an end of the interval lies between two readings, and the figure assumes even use between them.</param>
public sealed record MeteredEnergy(decimal Kwh, bool Interpolated);

/// <summary>The readings of one meter as energy that has only ever grown, over rollovers and exchanges.</summary>
public sealed class MeterSeries
{
    private const int KwhDecimals = 3;

    private readonly IReadOnlyList<MeterReading> readings;
    private readonly decimal[] grownKwh;

    private MeterSeries(IReadOnlyList<MeterReading> readings, decimal[] grownKwh) => (this.readings, this.grownKwh) = (readings, grownKwh);

    /// <summary>The readings by time; a register that fell without a rollover or an exchange is refused.</summary>
    /// <param name="readings">In the order of time.</param>
    /// <param name="rollsOverAtKwh">The first figure the register cannot show, e.g. 100000; null: not known, and a rollover is refused.</param>
    /// <param name="kwhPerUnit">The heat of one unit of the register: its calorific value where it counts cubic metres of gas.</param>
    public static Result<MeterSeries> Create(IReadOnlyList<MeterReading> readings, decimal? rollsOverAtKwh = null, decimal kwhPerUnit = 1)
    {
        var grown = new decimal[readings.Count];
        for (var i = 0; i < readings.Count; i++)
        {
            if (Wrong(readings, i, rollsOverAtKwh) is { } refusal) return refusal;
            if (i > 0) grown[i] = grown[i - 1] + Growth(readings[i - 1], readings[i], rollsOverAtKwh) * kwhPerUnit;
        }
        return new MeterSeries(readings, grown);
    }

    /// <summary>When it was read.</summary>
    public IEnumerable<Instant> ReadAt => readings.Select(r => r.At);

    /// <summary>The energy between two instants, both within the readings.</summary>
    public Result<MeteredEnergy> Between(Instant from, Instant to)
    {
        if (to < from || readings.Count == 0 || from < readings[0].At || to > readings[^1].At)
        {
            return Refusal.Rule(
                "energy.interval-not-metered",
                readings.Count == 0
                    ? "There are no readings yet."
                    : $"Readings reach from {readings[0].At} to {readings[^1].At}; read the meter at both ends of the firing.");
        }
        var (before, beforeBetween) = GrownAt(from);
        var (after, afterBetween) = GrownAt(to);
        return new MeteredEnergy(Math.Round(after - before, KwhDecimals, MidpointRounding.AwayFromZero), beforeBetween || afterBetween);
    }

    /// <summary>The power between two instants as a curve for a tariff: even between readings.</summary>
    public Result<PowerCurve> PowerBetween(Instant from, Instant to) => Between(from, to).Then<PowerCurve>(_ =>
    {
        Instant[] ends = [from, .. readings.Select(r => r.At).Where(at => at > from && at < to), to];
        var kw = new double[ends.Length];
        for (var i = 1; i < ends.Length; i++)
        {
            var hours = (ends[i] - ends[i - 1]).TotalHours;
            kw[i] = hours > 0 ? (double)(GrownAt(ends[i]).Kwh - GrownAt(ends[i - 1]).Kwh) / hours : 0;
        }
        return new PowerCurve(ends.Select(e => (e - from).TotalSeconds).ToArray(), kw);
    });

    /// <summary>What was taken between the first reading and the last.</summary>
    public Result<FiringTake> Whole() => readings.Count < 2
        ? Refusal.Rule("energy.not-metered", "The firing needs a meter reading at its start and one at its end. Write them down first.")
        : PowerBetween(readings[0].At, readings[^1].At).Then<FiringTake>(power =>
            new FiringTake(readings[0].At, power, Math.Round(grownKwh[^1], KwhDecimals, MidpointRounding.AwayFromZero), false, TakeBasis.Meter));

    private static Refusal? Wrong(IReadOnlyList<MeterReading> readings, int i, decimal? rollsOverAtKwh)
    {
        var (now, place) = (readings[i], $"/readings/{i}");
        if (now.Kwh < 0) return Refusal.Invalid("energy.below-zero", "A register shows 0 or more.", $"{place}/kwh");
        if (now.Event == MeterEvent.Exchange && now.NewRegisterKwh is not >= 0)
            return Refusal.Rule(
                "energy.new-register-missing", "After an exchange say what the new meter showed at its start.", $"{place}/newRegisterKwh");
        if (now.Event == MeterEvent.Rollover && (rollsOverAtKwh is not { } limit || now.Kwh >= limit))
            return Refusal.Rule("energy.rollover-unknown", "Say at which figure this meter's register begins again at 0.", $"{place}/kwh");
        if (i == 0) return null;
        var before = readings[i - 1];
        if (now.At <= before.At)
            return Refusal.Rule("energy.not-in-order", "This reading is not later than the one written down before it. Check when it was read.", $"{place}/at");
        return now.Event == MeterEvent.Rollover || now.Kwh >= ShownAfter(before)
            ? null
            : Refusal.Rule(
                "energy.register-fell",
                $"The register shows {now.Kwh} kWh, less than the {ShownAfter(before)} kWh before. "
                + "Read it again, or say that it rolled over or was exchanged.",
                $"{place}/kwh");
    }

    private static decimal Growth(MeterReading before, MeterReading now, decimal? rollsOverAtKwh) =>
        now.Kwh - ShownAfter(before) + (now.Event == MeterEvent.Rollover ? rollsOverAtKwh!.Value : 0);

    private static decimal ShownAfter(MeterReading reading) => reading.Event == MeterEvent.Exchange ? reading.NewRegisterKwh!.Value : reading.Kwh;

    private (decimal Kwh, bool Between) GrownAt(Instant at)
    {
        var after = 0;
        while (readings[after].At < at) after++;
        if (readings[after].At == at) return (grownKwh[after], false);
        var (start, end) = (readings[after - 1].At, readings[after].At);
        var part = (decimal)(at - start).TotalSeconds / (decimal)(end - start).TotalSeconds;
        return (grownKwh[after - 1] + (grownKwh[after] - grownKwh[after - 1]) * part, true);
    }
}
