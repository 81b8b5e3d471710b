using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>
/// Puts a log together from batches that come twice, late, out of order or with nonsense in them. Each reading is taken exactly once,
/// by its number; what is missing stays missing.
/// </summary>
public sealed class LogAssembly
{
    /// <summary>Most readings of one firing: two days at one a second.</summary>
    public const int MostReadings = 200_000;

    /// <summary>Most runs of a logger's numbering in one firing.</summary>
    public const int MostRuns = 100;

    /// <summary>Greatest number of a reading: what every JSON reader takes exactly.</summary>
    public const long GreatestSequence = (1L << 53) - 1;

    /// <summary>A logger's clock may be so far ahead, s.</summary>
    public const int ClockAheadSeconds = 120;

    // A reading counts as "of the wrong unit" when taken as the other unit it fits its neighbour so closely, and as it stands so badly.
    private const double FitsWithinC = 15;
    private const double MissesByC = 60;
    private static readonly Duration NeighbourWithin = Duration.FromMinutes(10);

    private readonly List<LogRun> runs = [];
    private readonly Instant earliest;
    private int count;

    /// <summary>An empty log.</summary>
    /// <param name="earliest">Nothing before that moment belongs to this firing.</param>
    public LogAssembly(Instant earliest) => this.earliest = earliest;

    /// <summary>All readings, in the order of time.</summary>
    public IReadOnlyList<LogReading> Readings =>
        [.. runs.SelectMany(run => run.Readings).OrderBy(r => r.At).ThenBy(r => r.Run).ThenBy(r => r.Sequence)];

    /// <summary>Numbers that never came.</summary>
    public IReadOnlyList<LogGap> Gaps => [.. runs.SelectMany(run => run.Gaps())];

    /// <summary>Takes up stored readings again.</summary>
    /// <exception cref="ArgumentException">They contradict each other.</exception>
    public static LogAssembly Of(Instant earliest, IEnumerable<LogReading> stored)
    {
        var log = new LogAssembly(earliest);
        foreach (var reading in stored.OrderBy(r => r.Run).ThenBy(r => r.Sequence))
            if (log.Run(reading.Run)?.Take(reading) == LogRun.Standing.New) log.count++;
            else throw new ArgumentException($"Reading {reading.Sequence} of run {reading.Run} contradicts another.", nameof(stored));
        return log;
    }

    /// <summary>Takes a batch.</summary>
    /// <param name="batch">As it came.</param>
    /// <param name="now">The service's own clock.</param>
    public Result<LogReceipt> Accept(LogBatch batch, Instant now)
    {
        if (batch.Readings.Count > LogBatch.MostReadings)
            return Refusal.Invalid("firings.batch-too-large", $"Send at most {LogBatch.MostReadings} readings at a time.", "/readings");
        if (batch.Run is < 0 or > MostReadings) return Refusal.Invalid("firings.run-out-of-range", "A run is counted from 0.", "/run");
        if (count + batch.Readings.Count > MostReadings)
            return Refusal.Rule("firings.log-too-long", $"The log of one firing holds {MostReadings} readings. Log less often, or begin another firing.");
        var (stored, repeated, refused) = (new List<LogReading>(), 0, new List<RefusedReading>());
        foreach (var raw in batch.Readings)
        {
            LogReading? placed = null;
            if ((CheckPlain(raw, now) ?? Place(raw, batch, out placed)) is { } problem) refused.Add(problem);
            else if (placed is { } fresh) stored.Add(fresh);
            else repeated++;
        }
        count += stored.Count;
        return new LogReceipt(stored, repeated, refused);
    }

    // Null and a reading: new. Null and none: stored before.
    private RefusedReading? Place(LoggerReading raw, LogBatch batch, out LogReading? placed)
    {
        placed = null;
        var asSent = raw.Temperature;
        var celsius = batch.Unit == LogUnit.Celsius ? asSent : TemperatureUnits.ToCelsius(asSent);
        var reading = new LogReading(0, raw.Sequence, ToMillisecond(raw.At), Math.Round(celsius, 2));
        if (!(reading.Celsius >= TemperatureHistory.LowestC && reading.Celsius <= TemperatureHistory.HighestC))
            return new RefusedReading(
                reading.Sequence, "firings.reading-out-of-range",
                $"outside what a kiln reads ({TemperatureHistory.LowestC} to {TemperatureHistory.HighestC} °C). Check the thermocouple and the unit.");
        if (batch.Run is null && runs.Exists(known => known.Holds(reading))) return null;
        if ((batch.Run is { } said ? Run(said) : RunAt(reading.At)) is not { } run) return TooManyRuns(reading);
        if (IsOtherUnit(run, reading, batch.Unit, asSent))
            return new RefusedReading(
                reading.Sequence, "firings.reading-in-wrong-unit",
                "does not follow from what was read before, but would as "
                    + $"{(batch.Unit == LogUnit.Celsius ? "°F" : "°C")}. Set the logger's unit right.");
        var standing = run.Take(reading with { Run = run.Number });
        if (standing == LogRun.Standing.Restarts && batch.Run is null)
        {
            if (Run(runs[^1].Number + 1) is not { } restarted) return TooManyRuns(reading);
            run = restarted;
            standing = run.Take(reading with { Run = run.Number });
        }
        if (standing == LogRun.Standing.New) placed = reading with { Run = run.Number };
        return standing is LogRun.Standing.New or LogRun.Standing.Repeated
            ? null
            : new RefusedReading(
                reading.Sequence, "firings.reading-contradicts",
                "this does not agree with what is stored: either it came with another value before, or its time is out of order. "
                + "If the logger restarted its numbering, send a new run; if its clock was set, begin a new run too.");
    }

    private RefusedReading? CheckPlain(LoggerReading raw, Instant now)
    {
        if (!double.IsFinite(raw.Temperature))
            return new RefusedReading(raw.Sequence, "firings.reading-not-a-number", "the temperature is no number. Leave such readings out.");
        if (raw.Sequence is < 0 or > GreatestSequence)
            return new RefusedReading(raw.Sequence, "firings.reading-out-of-range", $"a reading's number is from 0 to {GreatestSequence}.");
        if (raw.At > now + Duration.FromSeconds(ClockAheadSeconds))
            return new RefusedReading(raw.Sequence, "firings.reading-in-future", "from the future. Set the logger's clock.");
        return raw.At < earliest
            ? new RefusedReading(
                raw.Sequence, "firings.reading-too-old",
                "from before this firing. Set the logger's clock, or send them to the firing they belong to.")
            : null;
    }

    private static bool IsOtherUnit(LogRun run, LogReading reading, LogUnit unit, double asSent)
    {
        if (run.Around(reading.At).Before is not { } before || reading.At - before.At > NeighbourWithin) return false;
        var other = unit == LogUnit.Celsius ? TemperatureUnits.ToCelsius(asSent) : asSent;
        return Math.Abs(reading.Celsius - before.Celsius) > MissesByC && Math.Abs(other - before.Celsius) <= FitsWithinC;
    }

    private static RefusedReading TooManyRuns(LogReading reading) => new(
        reading.Sequence, "firings.reading-restarts-too-often", $"the logger restarted more than {MostRuns} times in one firing. Have it looked at.");

    // Null when there are too many already.
    private LogRun? Run(int number)
    {
        var place = runs.FindIndex(run => run.Number >= number);
        if (place >= 0 && runs[place].Number == number) return runs[place];
        if (runs.Count == MostRuns) return null;
        var run = new LogRun(number);
        runs.Insert(place < 0 ? runs.Count : place, run);
        return run;
    }

    // Without a number of its own a reading belongs to the run that was going on at its time.
    private LogRun? RunAt(Instant at) =>
        runs.Where(run => run.Readings.Count > 0 && run.Start <= at).MaxBy(run => run.Start) ?? (runs.Count > 0 ? runs[0] : Run(0));

    private static Instant ToMillisecond(Instant at) => Instant.FromUnixTimeMilliseconds(at.ToUnixTimeMilliseconds());
}
