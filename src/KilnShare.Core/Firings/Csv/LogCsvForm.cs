using NodaTime;

namespace KilnShare.Core.Firings.Csv;

/// <summary>What stands between the columns of a file.</summary>
public enum LogCsvSeparator
{
    /// <summary>A comma.</summary>
    Comma,

    /// <summary>A semicolon.</summary>
    Semicolon,

    /// <summary>A tab.</summary>
    Tab,
}

/// <summary>What stands before the decimals of a number.</summary>
public enum LogCsvDecimalMark
{
    /// <summary>A point.</summary>
    Point,

    /// <summary>A comma.</summary>
    Comma,
}

/// <summary>How a file writes its times.</summary>
public enum LogCsvTimeForm
{
    /// <summary>Date, time and offset (RFC 3339).</summary>
    Instant,

    /// <summary>Date and time without an offset, read in the studio's zone.</summary>
    Local,

    /// <summary>Seconds since the start.</summary>
    Seconds,

    /// <summary>Minutes since the start.</summary>
    Minutes,

    /// <summary>Hours since the start.</summary>
    Hours,

    /// <summary>Hours:minutes or hours:minutes:seconds since the start.</summary>
    Clock,
}

/// <summary>What a column was taken for.</summary>
public enum LogCsvUse
{
    /// <summary>The logger's own number of a reading.</summary>
    Number,

    /// <summary>The date, beside a column of times.</summary>
    Date,

    /// <summary>The time.</summary>
    Time,

    /// <summary>The temperature.</summary>
    Temperature,

    /// <summary>The temperature that the controller wanted; not read.</summary>
    SetPoint,

    /// <summary>Power; not read.</summary>
    Power,

    /// <summary>Something else, or a second column of its kind; not read.</summary>
    NotRead,
}

/// <summary>A column of a file.</summary>
/// <param name="Name">As the header has it; empty where there is no header.</param>
/// <param name="Use">What it was taken for.</param>
public sealed record LogCsvColumn(string Name, LogCsvUse Use);

/// <summary>What is known about a file beside the file itself.</summary>
/// <param name="Unit">The unit of its temperatures; null where only the file says it.</param>
/// <param name="StartedAt">When its times begin to count, as the sender says; null where nothing is said.</param>
/// <param name="LitAt">When the firing was lit; null where nobody knows. Taken where the sender says no start.</param>
/// <param name="Zone">The studio's zone, for times without an offset.</param>
public sealed record LogCsvHints(LogUnit? Unit, Instant? StartedAt, Instant? LitAt, DateTimeZone Zone);

/// <summary>What a file was taken to be, so that whoever sent it can see a wrong guess.</summary>
/// <param name="Separator">What stands between the columns.</param>
/// <param name="DecimalMark">What stands before decimals; null where no number has any.</param>
/// <param name="Unit">The unit of the temperatures.</param>
/// <param name="TimeForm">How the times are written.</param>
/// <param name="StartedAt">From when times were counted; null where each time says itself when it is.</param>
/// <param name="HeaderLine">The line of the header, from 1; null where there is none.</param>
/// <param name="Columns">The columns, from left to right.</param>
public sealed record LogCsvForm(
    LogCsvSeparator Separator, LogCsvDecimalMark? DecimalMark, LogUnit Unit, LogCsvTimeForm TimeForm, Instant? StartedAt, int? HeaderLine,
        IReadOnlyList<LogCsvColumn> Columns);
