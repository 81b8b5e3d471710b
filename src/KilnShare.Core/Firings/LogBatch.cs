using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>The unit a logger speaks.</summary>
public enum LogUnit
{
    /// <summary>°C.</summary>
    Celsius,

    /// <summary>°F.</summary>
    Fahrenheit,
}

/// <summary>What a logger says: untrusted until it is accepted.</summary>
/// <param name="Sequence">The logger's own number of this reading, counting up.</param>
/// <param name="At">When, by the logger's clock.</param>
/// <param name="Temperature">In the unit of its batch.</param>
public readonly record struct LoggerReading(long Sequence, Instant At, double Temperature);

/// <summary>Readings as they came over the wire, in any order, some perhaps sent before.</summary>
/// <param name="Unit">The unit of all of them.</param>
/// <param name="Readings">The readings.</param>
/// <param name="Run">
/// Which run of its numbering the logger is in (it counts restarts); null where it does not say, and then a restart is recognised by
/// the number falling while the time goes on.
/// </param>
public sealed record LogBatch(LogUnit Unit, IReadOnlyList<LoggerReading> Readings, int? Run = null)
{
    /// <summary>Most readings of one batch.</summary>
    public const int MostReadings = 10_000;
}

/// <summary>A temperature of a log: accepted, exactly once.</summary>
/// <param name="Run">Which run of the logger's numbering, from 0.</param>
/// <param name="Sequence">Its number within the run.</param>
/// <param name="At">When, to the millisecond.</param>
/// <param name="Celsius">°C, to a hundredth.</param>
public readonly record struct LogReading(int Run, long Sequence, Instant At, double Celsius);

/// <summary>A reading that was not taken, and why.</summary>
/// <param name="Sequence">Its number.</param>
/// <param name="Code">Stable code, <c>firings.reading-…</c>.</param>
/// <param name="Message">What is wrong with it and what to do, in words that hold for all alike.</param>
public sealed record RefusedReading(long Sequence, string Code, string Message);

/// <summary>What became of a batch. A logger may forget every reading that is not refused.</summary>
/// <param name="Stored">New readings, in the order in which they came.</param>
/// <param name="Repeated">How many had been stored before, word for word.</param>
/// <param name="Refused">Those not taken.</param>
public sealed record LogReceipt(IReadOnlyList<LogReading> Stored, int Repeated, IReadOnlyList<RefusedReading> Refused)
{
    /// <summary>Those not taken, alike ones together, in the order in which they came.</summary>
    public IReadOnlyList<RefusedReadings> RefusedAlike => [.. Refused.GroupBy(r => (r.Code, r.Message)).Select(g => RefusedReadings.Of([.. g]))];
}

/// <summary>Readings that were not taken for the same reason.</summary>
/// <param name="Ranges">Their numbers, from and to, rising.</param>
/// <param name="Count">How many.</param>
/// <param name="Code">Stable code.</param>
/// <param name="Message">One sentence for all of them, with their numbers, and what to do.</param>
public sealed record RefusedReadings(IReadOnlyList<(long From, long To)> Ranges, int Count, string Code, string Message)
{
    private const int MostRangesSaid = 5;

    internal static RefusedReadings Of(IReadOnlyList<RefusedReading> alike)
    {
        var ranges = new List<(long From, long To)>();
        foreach (var sequence in alike.Select(r => r.Sequence).Distinct().Order())
        {
            if (ranges.Count > 0 && ranges[^1].To + 1 == sequence) ranges[^1] = (ranges[^1].From, sequence);
            else ranges.Add((sequence, sequence));
        }

        return new RefusedReadings(ranges, alike.Count, alike[0].Code,
            $"{(ranges is [(var from, var to)] && from == to ? "Reading" : "Readings")} {Said(ranges)}: {alike[0].Message}");
    }

    private static string Said(List<(long From, long To)> ranges)
    {
        var said = string.Join(", ", ranges.Take(MostRangesSaid).Select(r => r.From == r.To ? $"{r.From}" : $"{r.From}–{r.To}"));
        return ranges.Count > MostRangesSaid ? $"{said} and more up to {ranges[^1].To}" : said;
    }
}

/// <summary>Numbers that never came; nothing is invented for them.</summary>
/// <param name="Run">Which run.</param>
/// <param name="FromSequence">First missing number.</param>
/// <param name="ToSequence">Last missing number.</param>
/// <param name="FromAt">The last reading before.</param>
/// <param name="ToAt">The first reading after.</param>
public sealed record LogGap(int Run, long FromSequence, long ToSequence, Instant FromAt, Instant ToAt);
