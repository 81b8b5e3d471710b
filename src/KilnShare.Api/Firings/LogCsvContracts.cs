using KilnShare.Core.Firings;
using KilnShare.Core.Firings.Csv;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>A column of a logger's file.</summary>
public sealed record LogCsvColumnContract
{
    /// <summary>As the header has it; empty where there is no header.</summary>
    /// <example>Temperature (°C)</example>
    public required string Name { get; init; }

    /// <summary>What it was taken for.</summary>
    /// <example>temperature</example>
    public required LogCsvUse TakenFor { get; init; }
}

/// <summary>What a logger's file was taken to be. Look it over: a wrong guess shows here.</summary>
public sealed record LogCsvFormContract
{
    /// <summary>What stands between the columns.</summary>
    /// <example>semicolon</example>
    public required LogCsvSeparator Separator { get; init; }

    /// <summary>What stands before decimals; null where no number has any.</summary>
    /// <example>comma</example>
    public required LogCsvDecimalMark? DecimalMark { get; init; }

    /// <summary>The unit of the temperatures.</summary>
    /// <example>celsius</example>
    public required LogUnit Unit { get; init; }

    /// <summary>How the times are written.</summary>
    /// <example>minutes</example>
    public required LogCsvTimeForm TimeForm { get; init; }

    /// <summary>From when times were counted; null where each time says itself when it is.</summary>
    public required Instant? StartedAt { get; init; }

    /// <summary>The line of the header, from 1; null where there is none.</summary>
    /// <example>1</example>
    public required int? HeaderLine { get; init; }

    /// <summary>The columns, from left to right.</summary>
    public required IReadOnlyList<LogCsvColumnContract> Columns { get; init; }

    /// <summary>The contract of a form.</summary>
    public static LogCsvFormContract Of(LogCsvForm form) => new()
    {
        Separator = form.Separator,
        DecimalMark = form.DecimalMark,
        Unit = form.Unit,
        TimeForm = form.TimeForm,
        StartedAt = form.StartedAt,
        HeaderLine = form.HeaderLine,
        Columns = [.. form.Columns.Select(c => new LogCsvColumnContract { Name = c.Name, TakenFor = c.Use })],
    };
}

/// <summary>What became of a file. Readings without a number of their own go by their line.</summary>
public sealed record LogCsvReceiptAnswer
{
    /// <summary>New readings.</summary>
    /// <example>720</example>
    public required int Stored { get; init; }

    /// <summary>How many had been stored before, word for word.</summary>
    /// <example>0</example>
    public required int Repeated { get; init; }

    /// <summary>Those not taken.</summary>
    public required IReadOnlyList<RefusedReadingContract> Refused { get; init; }

    /// <summary>What the file was taken to be.</summary>
    public required LogCsvFormContract Recognised { get; init; }

    /// <summary>The contract of a receipt.</summary>
    public static LogCsvReceiptAnswer Of(LogReceiptAnswer receipt, LogCsvForm form) => new()
    {
        Stored = receipt.Stored,
        Repeated = receipt.Repeated,
        Refused = receipt.Refused,
        Recognised = LogCsvFormContract.Of(form),
    };
}
