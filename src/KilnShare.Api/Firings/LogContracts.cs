using FluentValidation;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>What a logger says.</summary>
public readonly record struct LoggerReadingContract
{
    /// <summary>The logger's own number of this reading, counting up.</summary>
    /// <example>1</example>
    public required long Sequence { get; init; }

    /// <summary>When, by the logger's clock.</summary>
    public required Instant At { get; init; }

    /// <summary>In the unit of the batch; null where the logger could not read.</summary>
    /// <example>412.5</example>
    public required double? Temperature { get; init; }
}

/// <summary>Readings in any order, some perhaps sent before.</summary>
public sealed record LogBatchBody
{
    /// <summary>The unit of all of them.</summary>
    /// <example>celsius</example>
    public LogUnit Unit { get; init; } = LogUnit.Celsius;

    /// <summary>Which run of its numbering the logger is in, from 0; absent: a restart is recognised by the number falling while time goes on.</summary>
    public int? Run { get; init; }

    /// <summary>The readings, 10,000 at most.</summary>
    public required IReadOnlyList<LoggerReadingContract> Readings { get; init; }

    /// <summary>In Core's terms.</summary>
    public LogBatch ToCore() => new(Unit, [.. Readings.Select(r => new LoggerReading(r.Sequence, r.At, r.Temperature ?? double.NaN))], Run);
}

/// <summary>Numbers of readings that follow each other.</summary>
public sealed record ReadingRangeContract
{
    /// <summary>The first.</summary>
    /// <example>12</example>
    public required long FromSequence { get; init; }

    /// <summary>The last.</summary>
    /// <example>340</example>
    public required long ToSequence { get; init; }
}

/// <summary>Readings that were not taken for the same reason.</summary>
public sealed record RefusedReadingContract
{
    /// <summary>The number of the first of them.</summary>
    public required long Sequence { get; init; }

    /// <summary>How many.</summary>
    /// <example>329</example>
    public required int Count { get; init; }

    /// <summary>All their numbers.</summary>
    public required IReadOnlyList<ReadingRangeContract> Ranges { get; init; }

    /// <summary>Stable code.</summary>
    /// <example>firings.reading-out-of-range</example>
    public required string Code { get; init; }

    /// <summary>What is wrong with them, and what to do.</summary>
    /// <example>Readings 12–340: the temperature is no number. Leave such readings out.</example>
    public required string Message { get; init; }

    /// <summary>The contract of alike refused readings.</summary>
    public static RefusedReadingContract Of(RefusedReadings alike) => new()
    {
        Sequence = alike.Ranges[0].From,
        Count = alike.Count,
        Ranges = [.. alike.Ranges.Select(r => new ReadingRangeContract { FromSequence = r.From, ToSequence = r.To })],
        Code = alike.Code,
        Message = alike.Message,
    };
}

/// <summary>What became of a batch. A logger may forget every reading that is not refused.</summary>
public sealed record LogReceiptAnswer
{
    /// <summary>New readings.</summary>
    /// <example>60</example>
    public required int Stored { get; init; }

    /// <summary>How many had been stored before, word for word.</summary>
    /// <example>0</example>
    public required int Repeated { get; init; }

    /// <summary>Those not taken.</summary>
    public required IReadOnlyList<RefusedReadingContract> Refused { get; init; }

    /// <summary>The contract of a receipt.</summary>
    public static LogReceiptAnswer Of(LogReceipt receipt) => new()
    {
        Stored = receipt.Stored.Count,
        Repeated = receipt.Repeated,
        Refused = [.. receipt.RefusedAlike.Select(RefusedReadingContract.Of)],
    };
}

/// <summary>How finely a log is read.</summary>
public enum LogResolution
{
    /// <summary>Every reading, in pages.</summary>
    Raw,

    /// <summary>A temperature for each minute, null in holes.</summary>
    Minutes,

    /// <summary>A few figures.</summary>
    Summary,
}

/// <summary>A stored reading.</summary>
public readonly record struct LogReadingContract
{
    /// <summary>Which run of the logger's numbering.</summary>
    public required int Run { get; init; }

    /// <summary>Its number within the run.</summary>
    public required long Sequence { get; init; }

    /// <summary>When.</summary>
    public required Instant At { get; init; }

    /// <summary>The temperature.</summary>
    public required double Celsius { get; init; }

    /// <summary>The contract of a reading.</summary>
    public static LogReadingContract Of(LogReading reading) =>
        new() { Run = reading.Run, Sequence = reading.Sequence, At = reading.At, Celsius = reading.Celsius };
}

/// <summary>A minute of a log.</summary>
public readonly record struct LogMinuteContract
{
    /// <summary>From switching on.</summary>
    public required double AtSeconds { get; init; }

    /// <summary>The temperature; null where the log has a hole.</summary>
    public required double? Celsius { get; init; }
}

/// <summary>A log, minute by minute.</summary>
public sealed record LogMinutesAnswer
{
    /// <summary>When the firing began.</summary>
    public required Instant StartedAt { get; init; }

    /// <summary>The minutes.</summary>
    public required IReadOnlyList<LogMinuteContract> Items { get; init; }
}

/// <summary>Numbers that never came; nothing is invented for them.</summary>
public sealed record LogGapContract
{
    /// <summary>Which run.</summary>
    public required int Run { get; init; }

    /// <summary>First missing number.</summary>
    public required long FromSequence { get; init; }

    /// <summary>Last missing number.</summary>
    public required long ToSequence { get; init; }

    /// <summary>The last reading before.</summary>
    public required Instant FromAt { get; init; }

    /// <summary>The first reading after.</summary>
    public required Instant ToAt { get; init; }

    /// <summary>The contract of a gap.</summary>
    public static LogGapContract Of(LogGap gap) =>
        new() { Run = gap.Run, FromSequence = gap.FromSequence, ToSequence = gap.ToSequence, FromAt = gap.FromAt, ToAt = gap.ToAt };
}

/// <summary>What a log says in a few figures.</summary>
public sealed record LogSummaryContract
{
    private const int MostGaps = 100;

    /// <summary>How many readings there are.</summary>
    public required int Readings { get; init; }

    /// <summary>How many numbers never came.</summary>
    public required long Missing { get; init; }

    /// <summary>The first hundred gaps in the numbering.</summary>
    public required IReadOnlyList<LogGapContract> Gaps { get; init; }

    /// <summary>How many readings jumped away and back, and are left out of the curve.</summary>
    public required int SpikesLeftOut { get; init; }

    /// <summary>The longest time between two readings.</summary>
    public required double LongestSilenceMinutes { get; init; }

    /// <summary>The first reading.</summary>
    public required Instant FirstAt { get; init; }

    /// <summary>The last reading.</summary>
    public required Instant LastAt { get; init; }

    /// <summary>The highest temperature.</summary>
    public required double PeakC { get; init; }

    /// <summary>When it was first reached.</summary>
    public required Instant PeakAt { get; init; }

    /// <summary>The steepest climb over any ten minutes; null where the log is shorter.</summary>
    public required double? SteepestClimbCPerHour { get; init; }

    /// <summary>The contract of a summary.</summary>
    public static LogSummaryContract Of(LogSummary summary, IReadOnlyList<LogGap> gaps) => new()
    {
        Readings = summary.Readings,
        Missing = summary.Missing,
        Gaps = [.. gaps.Take(MostGaps).Select(LogGapContract.Of)],
        SpikesLeftOut = summary.SpikesLeftOut,
        LongestSilenceMinutes = Math.Round(summary.LongestSilenceMinutes, 1),
        FirstAt = summary.FirstAt,
        LastAt = summary.LastAt,
        PeakC = Math.Round(summary.PeakC, 1),
        PeakAt = summary.PeakAt,
        SteepestClimbCPerHour = summary.SteepestClimbCPerHour is { } climb ? Math.Round(climb, 1) : null,
    };
}

internal sealed class LogBatchValidator : AbstractValidator<LogBatchBody>
{
    public LogBatchValidator() => RuleFor(b => b.Readings).NotEmpty().WithErrorCode("firings.empty-batch").WithMessage("Send one reading at least.");
}
