using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Firings.Csv;

/// <summary>
/// The readings in a logger's CSV file. What the file leaves open is recognised and told, so that a wrong guess is seen; what cannot be told is
/// refused by line and column, never guessed at.
/// </summary>
/// <param name="Batch">The readings, as any batch. A reading without a number of its own goes by its line.</param>
/// <param name="Form">What the file was taken to be.</param>
public sealed record LogCsv(LogBatch Batch, LogCsvForm Form)
{
    // Loggers write their settings above the header.
    private const int HeaderWithinLines = 40;
    private const int LongestShown = 40;
    private static readonly (LogCsvSeparator Word, char Sign)[] Separators = [(LogCsvSeparator.Tab, '\t'), (LogCsvSeparator.Semicolon, ';'),
        (LogCsvSeparator.Comma, ',')];

    /// <summary>Reads a file.</summary>
    /// <param name="utf8">The file; a byte order mark may stand in front.</param>
    /// <param name="hints">What is known beside it.</param>
    public static Result<LogCsv> Read(ReadOnlySpan<byte> utf8, LogCsvHints hints) =>
        LogCsvLines.Cut(utf8).Then(lines => Opening.Find(lines).Then(opening => new Reader(opening, hints).Read(lines)));

    /// <summary>Where the readings begin, and what stands in their columns.</summary>
    /// <param name="Separator">What stands between the columns.</param>
    /// <param name="Sign">The same as a character.</param>
    /// <param name="Header">The columns.</param>
    /// <param name="HeaderLine">The header's line, from 0; null where there is none.</param>
    /// <param name="First">The first line that may hold a reading, from 0.</param>
    private sealed record Opening(LogCsvSeparator Separator, char Sign, LogCsvHeader Header, int? HeaderLine, int First)
    {
        public static Result<Opening> Find(string[] lines)
        {
            if (lines.All(string.IsNullOrWhiteSpace)) return Refusal.Invalid("firings.empty-batch", "The file is empty. Send one reading at least.");
            foreach (var (word, sign) in Separators)
            {
                for (var i = 0; i < Math.Min(lines.Length, HeaderWithinLines); i++)
                    if (LogCsvLines.Cells(lines[i], sign) is { Count: > 1 } cells && LogCsvHeader.Of(cells) is { } header)
                        return new Opening(word, sign, header, i, i + 1);
            }

            var first = Array.FindIndex(lines, line => !string.IsNullOrWhiteSpace(line));
            foreach (var (word, sign) in Separators)
            {
                // Without a header only two columns are clear.
                if (LogCsvLines.Cells(lines[first], sign) is [var time, var degrees] && LogCsvTimes.FormOf(time, null) is not null
                    && LogCsvNumbers.Read(degrees) is not null)
                    return new Opening(word, sign, LogCsvHeader.None, null, first);
            }

            return Refusal.Invalid(
                "firings.csv-no-header",
                $"No header was found in the first {HeaderWithinLines} lines. Put one above the readings that names the time and the temperature, such as: "
                    + $"Time (min);Temperature (°C).");
        }
    }

    private sealed class Reader(Opening opening, LogCsvHints hints)
    {
        private readonly int time = opening.Header.PlaceOf(LogCsvUse.Time);
        private readonly int date = opening.Header.PlaceOf(LogCsvUse.Date);
        private readonly int number = opening.Header.PlaceOf(LogCsvUse.Number);
        private readonly int temperature = opening.Header.PlaceOf(LogCsvUse.Temperature);
        private readonly Instant? start = hints.StartedAt ?? hints.LitAt;
        private LogCsvTimeForm? form;
        private LogCsvDecimalMark? mark;

        public Result<LogCsv> Read(string[] lines)
        {
            if (UnitOf().Refusal is { } unclear) return unclear;
            var readings = new List<LoggerReading>(lines.Length - opening.First);
            for (var i = opening.First; i < lines.Length; i++)
            {
                if (string.IsNullOrWhiteSpace(lines[i])) continue;
                if (!ReadLine(i + 1, lines[i]).TryGet(out var reading, out var refusal)) return refusal;
                readings.Add(reading);
            }

            if (form is not { } timeForm) return Refusal.Invalid("firings.empty-batch", "There is nothing under the header. Send one reading at least.");
            var unit = UnitOf().Value;
            return new LogCsv(
                new LogBatch(unit, readings),
                new LogCsvForm(
                    opening.Separator, mark, unit, timeForm, timeForm is LogCsvTimeForm.Instant or LogCsvTimeForm.Local
                        ? null : start, opening.HeaderLine + 1, opening.Header.Columns));
        }

        private Result<LogUnit> UnitOf()
        {
            var said = opening.Header.Unit;
            if (said is { } header && hints.Unit is { } asked && header != asked)
                return At("firings.csv-unit", opening.HeaderLine!.Value + 1, temperature,
                    $"the header says {Sign(header)} and the query {Sign(asked)}. Leave unit out, or set the header right.");
            return (said ?? hints.Unit) is { } unit
                ? unit
                : At(
                    "firings.csv-unit", (opening.HeaderLine ?? opening.First) + 1, temperature,
                    "nothing says whether this is °C or °F. Write the unit into the header, or send unit=celsius or unit=fahrenheit.");
        }

        private Result<LoggerReading> ReadLine(int line, string text)
        {
            if (LogCsvLines.Cells(text, opening.Sign) is not { } cells)
                return At("firings.csv-quote", line, 0, "a quotation mark is not closed, or stands in the middle of a column. Set the quotation marks right.");
            if (cells.Count <= Math.Max(Math.Max(time, temperature), Math.Max(date, number)) || cells.Skip(opening.Header.Columns.Count).Any(c => c.Length > 0))
                return At(
                    "firings.csv-columns", line, Math.Min(cells.Count, opening.Header.Columns.Count) - 1,
                    $"{Columns(cells.Count)} where {(opening.HeaderLine is null ? "the first line" : "the header")} has {opening.Header.Columns.Count}."
                        + (opening.Sign == ',' ? " If the comma is the decimal mark here, put semicolons between the columns." : " Set the line right."));
            if (!TimeOf(line, cells).TryGet(out var at, out var noTime)) return noTime;
            if (!TemperatureOf(line, cells[temperature]).TryGet(out var degrees, out var noNumber)) return noNumber;
            if (number < 0) return new LoggerReading(line, at, degrees);
            return long.TryParse(cells[number], System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out var sequence)
                ? new LoggerReading(sequence, at, degrees)
                : At("firings.csv-number", line, number, $"{Shown(cells[number])} is no number of a reading. Readings are counted with whole numbers from 0.");
        }

        private Result<Instant> TimeOf(int line, List<string> cells)
        {
            var text = date < 0 ? cells[time] : $"{cells[date]}T{cells[time]}";
            if (form is null)
            {
                form = LogCsvTimes.FormOf(text, opening.Header.TimeUnit);
                if (form is null)
                    return At(
                        "firings.csv-time", line, date < 0 ? time : date,
                        $"{Shown(text)} is no time that is read here. Write 2026-03-14T07:00:00+01:00, 2026-03-14 07:00:00, or what has passed since the "
                            + $"start in minutes or as hours:minutes:seconds.");
                if (form == LogCsvTimeForm.Clock && hints.StartedAt is null && LogCsvTimes.MayBeTimeOfDay(text))
                    return At(
                        "firings.csv-time-of-day", line, time,
                        $"the first time is {text}. If that is the time of day, write the date before it; if it has passed since the start, say the start "
                            + $"with startedAt.");
            }

            if (form is LogCsvTimeForm.Seconds or LogCsvTimeForm.Minutes or LogCsvTimeForm.Hours && Heed(line, time, text) is { } mixed) return mixed;
            var read = LogCsvTimes.Read(text, form.Value, start, hints.Zone);
            return read.Refusal is { Kind: RefusalKind.Invalid } wrong ? At(wrong.Code, line, time, $"{Shown(text)} {wrong.Message}.") : read;
        }

        private Result<double> TemperatureOf(int line, string text)
        {
            if (LogCsvNumbers.IsNoReading(text)) return double.NaN;
            if (Heed(line, temperature, text) is { } mixed) return mixed;
            return LogCsvNumbers.Read(text) is { } degrees
                ? degrees
                : At("firings.csv-number", line, temperature,
                    $"{Shown(text)} is no temperature. Write a number, or leave it empty where the logger could not read.");
        }

        /// <summary>Notes the decimal mark; refused where two are used.</summary>
        private Refusal? Heed(int line, int column, string text)
        {
            if (LogCsvNumbers.MarkOf(text) is not { } here || LogCsvNumbers.Read(text) is null) return null;
            if (mark is { } before && before != here)
                return At("firings.csv-decimal-mark", line, column,
                    $"{Shown(text)} has a {Word(here)} where numbers before it had a {Word(before)}. Use one of them for decimals, and none for thousands.");
            mark = here;
            return null;
        }

        private static Refusal At(string code, int line, int column, string what) => Refusal.Invalid(code, $"Line {line}, column {column + 1}: {what}") with
        {
            Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["line"] = line, ["column"] = column + 1 },
        };

        private static string Columns(int count) => count == 1 ? "there is one column" : $"there are {count} columns";

        private static string Shown(string text) => $"\"{(text.Length > LongestShown ? text[..LongestShown] + "…" : text)}\"";

        private static string Word(LogCsvDecimalMark mark) => mark == LogCsvDecimalMark.Comma ? "comma" : "point";

        private static string Sign(LogUnit unit) => unit == LogUnit.Celsius ? "°C" : "°F";
    }
}
