using System.Text;
using System.Text.Unicode;
using KilnShare.Core.Common;

namespace KilnShare.Core.Firings.Csv;

/// <summary>A file cut into lines and cells (RFC 4180, with any of the usual separators).</summary>
internal static class LogCsvLines
{
    /// <summary>Most lines of a file: as many readings as a batch takes, and what loggers write above them.</summary>
    public const int MostLines = LogBatch.MostReadings + 100;

    private static readonly byte[] Mark = [0xEF, 0xBB, 0xBF];
    private static readonly string[] LineEnds = ["\r\n", "\n", "\r"];

    /// <summary>The lines; a byte order mark in front, which spreadsheets write, is left out.</summary>
    public static Result<string[]> Cut(ReadOnlySpan<byte> utf8)
    {
        if (utf8.StartsWith(Mark)) utf8 = utf8[Mark.Length..];
        if (!Utf8.IsValid(utf8)) return Refusal.Invalid("firings.csv-encoding", "The file is not UTF-8. Save it as CSV in UTF-8 and send it again.");
        var lines = Encoding.UTF8.GetString(utf8).Split(LineEnds, MostLines + 2, StringSplitOptions.None);
        if (lines.Length > MostLines + 1 || (lines.Length == MostLines + 1 && lines[^1].Length > 0))
            return Refusal.Invalid("firings.csv-too-long",
                $"The file has more than {MostLines} lines. Send it in parts of {LogBatch.MostReadings} readings, each with the header.");
        for (var i = 0; i < lines.Length; i++)
            if (lines[i].Any(c => char.IsControl(c) && c != '\t'))
                return Refusal.Invalid(
                    "firings.csv-control-character", $"Line {i + 1} has a control character in it. Save the file as plain CSV and send it again.");
        return lines;
    }

    /// <summary>The cells of a line, without the blanks around them; null where a quote is not closed or stands inside a cell.</summary>
    public static List<string>? Cells(string line, char separator)
    {
        var cells = new List<string>();
        for (var at = 0; at <= line.Length; at++)
        {
            var isQuoted = at < line.Length && line[at] == '"';
            var end = isQuoted ? EndOfQuoted(line, at) : line.IndexOf(separator, at);
            if (end < 0) end = isQuoted ? -1 : line.Length;
            if (end < 0 || (end < line.Length && line[end] != separator)) return null;
            var cell = line[at..end].Trim();
            cells.Add(isQuoted ? cell[1..^1].Replace("\"\"", "\"", StringComparison.Ordinal).Trim() : cell);
            at = end;
        }

        return cells;
    }

    // Behind the closing quote; -1 where there is none.
    private static int EndOfQuoted(string line, int at)
    {
        for (var i = at + 1; i < line.Length; i++)
        {
            if (line[i] != '"') continue;
            if (i + 1 == line.Length || line[i + 1] != '"') return i + 1;
            i++;
        }

        return -1;
    }
}
