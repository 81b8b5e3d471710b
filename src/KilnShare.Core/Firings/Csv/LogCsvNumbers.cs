using System.Globalization;

namespace KilnShare.Core.Firings.Csv;

/// <summary>Numbers of a logger's file, with a point or a comma before the decimals.</summary>
internal static class LogCsvNumbers
{
    private const int Longest = 32;
    private static readonly string[] NoReading = ["", "-", "--", "---", "----", "nan", "n/a", "null"];

    /// <summary>The number; null where the text is none.</summary>
    public static double? Read(string text) =>
        text.Length <= Longest && text.Count(c => c is ',' or '.') <= 1
        && double.TryParse(text.Replace(',', '.'), NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var number)
            ? number : null;

    /// <summary>What stands before the decimals; null where there are none.</summary>
    public static LogCsvDecimalMark? MarkOf(string text) =>
        text.Contains(',', StringComparison.Ordinal) ? LogCsvDecimalMark.Comma : text.Contains('.', StringComparison.Ordinal) ? LogCsvDecimalMark.Point : null;

    /// <summary>True where a logger says that it could not read.</summary>
    public static bool IsNoReading(string text) => Array.IndexOf(NoReading, text.ToLowerInvariant()) >= 0;
}
