namespace KilnShare.Core.Firings.Csv;

/// <summary>The header of a logger's file: which column is what, by the words that loggers use. The words are common practice, no source.</summary>
/// <param name="Columns">The columns, from left to right.</param>
/// <param name="Unit">The unit of the temperatures, where the header says it.</param>
/// <param name="TimeUnit">The unit of plain numbers as times, where the header says it.</param>
internal sealed record LogCsvHeader(IReadOnlyList<LogCsvColumn> Columns, LogUnit? Unit, LogCsvTimeForm? TimeUnit)
{
    private static readonly string[] SetPointWords = ["set", "setpoint", "sp", "sv", "target", "setting", "wanted", "sollwert", "soll", "consigne"];
    private static readonly string[] AmbientWords = ["ambient", "cold", "junction", "cj", "cjc", "room", "board", "internal", "battery"];
    private static readonly string[] PowerWords = ["power", "output", "duty", "kw", "w", "watt", "watts", "amps", "a", "current", "volts", "kwh", "leistung",
        "puissance"];
    private static readonly string[] NumberWords = ["#", "no", "nr", "number", "index", "record", "sequence", "seq", "n"];
    private static readonly string[] DateWords = ["date", "day", "datum"];
    private static readonly string[] TimeWords = ["time", "timestamp", "datetime", "elapsed", "runtime", "zeit", "heure", "hora", "tid", "tijd"];
    private static readonly string[] SecondWords = ["s", "sec", "secs", "second", "seconds"];
    private static readonly string[] MinuteWords = ["m", "min", "mins", "minute", "minutes"];
    private static readonly string[] HourWords = ["h", "hr", "hrs", "hour", "hours"];
    private static readonly string[] CelsiusWords = ["°c", "c", "celsius", "degc", "tempc"];
    private static readonly string[] FahrenheitWords = ["°f", "f", "fahrenheit", "degf", "tempf"];
    private static readonly string[] TemperatureWords =
        ["temp", "temperature", "temperatur", "température", "temperatura", "temperatuur", "thermocouple", "tc", "pv", "actual", "degrees", .. CelsiusWords,
            .. FahrenheitWords];

    /// <summary>Two columns without a header: a time and a temperature.</summary>
    public static LogCsvHeader None { get; } = new([new("", LogCsvUse.Time), new("", LogCsvUse.Temperature)], null, null);

    /// <summary>Where the column of that use stands; −1 where there is none.</summary>
    public int PlaceOf(LogCsvUse use)
    {
        for (var i = 0; i < Columns.Count; i++)
            if (Columns[i].Use == use) return i;
        return -1;
    }

    /// <summary>The header that these cells are; null when they do not name a time and a temperature.</summary>
    public static LogCsvHeader? Of(IReadOnlyList<string> cells)
    {
        var words = cells.Select(WordsOf).ToList();
        var uses = words.Select(UseOf).ToList();
        // Of several columns of one kind the first counts: the first thermocouple, the first clock.
        for (var i = 0; i < uses.Count; i++)
            if (uses[i] is not (LogCsvUse.NotRead or LogCsvUse.SetPoint or LogCsvUse.Power) && uses.IndexOf(uses[i]) < i) uses[i] = LogCsvUse.NotRead;
        var (time, temperature) = (uses.IndexOf(LogCsvUse.Time), uses.IndexOf(LogCsvUse.Temperature));
        if (time < 0 || temperature < 0) return null;
        return new LogCsvHeader([.. cells.Select((cell, i) => new LogCsvColumn(cell, uses[i]))], UnitOf(words[temperature]), TimeUnitOf(words[time]));
    }

    private static LogCsvUse UseOf(IReadOnlyList<string> words)
    {
        if (Has(words, SetPointWords)) return LogCsvUse.SetPoint;
        if (Has(words, AmbientWords)) return LogCsvUse.NotRead;
        if (Has(words, TimeWords)) return LogCsvUse.Time;
        if (Has(words, PowerWords)) return LogCsvUse.Power;
        if (Has(words, DateWords)) return LogCsvUse.Date;
        if (Has(words, TemperatureWords)) return LogCsvUse.Temperature;
        if (words.Count == 1 && TimeUnitOf(words) is not null) return LogCsvUse.Time;
        return words.Count > 0 && Has([words[0]], NumberWords) ? LogCsvUse.Number : LogCsvUse.NotRead;
    }

    private static LogUnit? UnitOf(IReadOnlyList<string> words) =>
        Has(words, CelsiusWords) ? LogUnit.Celsius : Has(words, FahrenheitWords) ? LogUnit.Fahrenheit : null;

    private static LogCsvTimeForm? TimeUnitOf(IReadOnlyList<string> words) =>
        Has(words, SecondWords)
            ? LogCsvTimeForm.Seconds : Has(words, MinuteWords) ? LogCsvTimeForm.Minutes : Has(words, HourWords) ? LogCsvTimeForm.Hours : null;

    private static bool Has(IReadOnlyList<string> words, string[] known) => words.Any(word => Array.IndexOf(known, word) >= 0);

    // "Temp1 (° C)" is temp and °c; digits only tell columns of one kind apart.
    private static List<string> WordsOf(string cell)
    {
        var text = cell.Replace('º', '°').Replace("° ", "°", StringComparison.Ordinal).ToLowerInvariant();
        var parts = new string([.. text.Select(c => char.IsLetter(c) || c is '°' or '#' ? c : ' ')]);
        return [.. parts.Replace("°", " °", StringComparison.Ordinal).Split(' ', StringSplitOptions.RemoveEmptyEntries)];
    }
}
