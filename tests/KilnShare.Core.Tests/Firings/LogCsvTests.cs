using System.Text;
using CsCheck;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Firings.Csv;
using NodaTime;

namespace KilnShare.Core.Tests.Firings;

public sealed class LogCsvTests
{
    private static readonly Instant Start = Instant.FromUtc(2026, 3, 14, 6, 0);
    private static readonly DateTimeZone Oslo = DateTimeZoneProviders.Tzdb["Europe/Oslo"];
    private static readonly LogCsvTimeForm[] Forms = [LogCsvTimeForm.Seconds, LogCsvTimeForm.Minutes, LogCsvTimeForm.Clock, LogCsvTimeForm.Instant];
    private static readonly LogCsvHints Started = new(null, Start, null, Oslo);

    // Invented files in the shapes that loggers and spreadsheets write.
    [Theory]
    [InlineData("time,temperature (°C)\n0,20.5\n60,120.25\n", LogCsvSeparator.Comma, LogCsvDecimalMark.Point, LogUnit.Celsius, LogCsvTimeForm.Minutes, 1)]
    [InlineData("Time [min];Temp. °C\r\n0;20,5\r\n60;120,25\r\n", LogCsvSeparator.Semicolon, LogCsvDecimalMark.Comma, LogUnit.Celsius,
        LogCsvTimeForm.Minutes, 1)]
    [InlineData("elapsed_s\ttemp_f\n0\t68.9\n3600\t248.45\n", LogCsvSeparator.Tab, LogCsvDecimalMark.Point, LogUnit.Fahrenheit, LogCsvTimeForm.Seconds, 1)]
    [InlineData("Time (h);Setpoint °C;Actual °C;Output %\n0;25;20,5;100\n1;130;120,25;80\n", LogCsvSeparator.Semicolon, LogCsvDecimalMark.Comma,
        LogUnit.Celsius, LogCsvTimeForm.Hours, 1)]
    [InlineData("\"No.\",\"Time\",\"Thermocouple 1 (ºC)\"\n\"1\",\"0:00:00\",\"20,5\"\n\"2\",\"1:00:00\",\"120,25\"", LogCsvSeparator.Comma,
        LogCsvDecimalMark.Comma, LogUnit.Celsius, LogCsvTimeForm.Clock, 1)]
    [InlineData("Logger settings\nInterval;1 h\n\nTime;T1 temperature C;T2 temperature C\n0:00;20.5;\n1:00;120.25;99\n", LogCsvSeparator.Semicolon,
        LogCsvDecimalMark.Point, LogUnit.Celsius, LogCsvTimeForm.Clock, 4)]
    [InlineData("time,celsius\n2026-03-14T07:00:00+01:00,20.5\n2026-03-14 07:00:00Z,120.25\n", LogCsvSeparator.Comma, LogCsvDecimalMark.Point, LogUnit.Celsius,
        LogCsvTimeForm.Instant, 1)]
    [InlineData("sep=;\nDate;Time;Temperature °C\n2026-03-14;07:00:00;20,5\n2026-03-14;08:00:00;120,25\n", LogCsvSeparator.Semicolon, LogCsvDecimalMark.Comma,
        LogUnit.Celsius, LogCsvTimeForm.Local, 2)]
    [InlineData("Zeit;Sollwert;Temperatur °C\n2026-03-14 07:00;22;20,5\n2026-03-14 08:00;;120,25\n", LogCsvSeparator.Semicolon, LogCsvDecimalMark.Comma,
        LogUnit.Celsius, LogCsvTimeForm.Local, 1)]
    public void A_file_is_recognised_and_read(string file, LogCsvSeparator separator, LogCsvDecimalMark mark, LogUnit unit, LogCsvTimeForm form, int header)
    {
        var read = Read(file).Value;
        var counted = form is not (LogCsvTimeForm.Instant or LogCsvTimeForm.Local);
        Assert.Equal((separator, mark, unit, form, (int?)header),
            (read.Form.Separator, read.Form.DecimalMark!.Value, read.Form.Unit, read.Form.TimeForm, read.Form.HeaderLine));
        Assert.Equal(counted ? Start : null, read.Form.StartedAt);
        Assert.Equal([Start, Start + Duration.FromHours(1)], read.Batch.Readings.Select(r => r.At));
        Assert.Equal(unit == LogUnit.Celsius ? [20.5, 120.25] : [68.9, 248.45], read.Batch.Readings.Select(r => r.Temperature));
        Assert.Equal(unit, read.Batch.Unit);
    }

    [Fact]
    public void The_columns_are_told_and_the_first_of_a_kind_counts()
    {
        var form = Read(
            "No.;Time (min);Set point (°C);Kiln temperature (°C);Second temperature (°C);Ambient (°C);Power (kW);Remark\n7;0;25;20;21;18;3;on\n").Value;
        Assert.Equal(
            [LogCsvUse.Number, LogCsvUse.Time, LogCsvUse.SetPoint, LogCsvUse.Temperature, LogCsvUse.NotRead, LogCsvUse.NotRead, LogCsvUse.Power,
                LogCsvUse.NotRead],
            form.Form.Columns.Select(c => c.Use));
        Assert.Equal("Kiln temperature (°C)", form.Form.Columns[3].Name);
        Assert.Equal(new LoggerReading(7, Start, 20), Assert.Single(form.Batch.Readings));
        Assert.Null(form.Form.DecimalMark);
    }

    [Fact]
    public void Without_a_number_of_its_own_a_reading_goes_by_its_line_and_an_empty_cell_is_no_reading()
    {
        var readings = Read("\ntime;°C\n0;20\n1;\n2;---\n\n3;23\n").Value.Batch.Readings;
        Assert.Equal([3L, 4L, 5L, 7L], readings.Select(r => r.Sequence));
        Assert.Equal([20, double.NaN, double.NaN, 23], readings.Select(r => r.Temperature));
    }

    [Fact]
    public void Two_columns_need_no_header_when_the_unit_is_said()
    {
        var read = LogCsv.Read("0;20,5\n5;25\n"u8, Started with { Unit = LogUnit.Celsius }).Value;
        Assert.Null(read.Form.HeaderLine);
        Assert.Equal([1L, 2L], read.Batch.Readings.Select(r => r.Sequence));
        Assert.Equal(Start + Duration.FromMinutes(5), read.Batch.Readings[1].At);
        Assert.Equal("firings.csv-unit", Read("0;20,5\n5;25\n").Refusal!.Code);
    }

    [Fact]
    public void Times_count_from_when_the_firing_was_lit_unless_the_sender_says_another_start()
    {
        var lit = Start + Duration.FromHours(2);
        var file = "time;°C\n10;30\n"u8;
        Assert.Equal(lit + Duration.FromMinutes(10), LogCsv.Read(file, new LogCsvHints(null, null, lit, Oslo)).Value.Batch.Readings[0].At);
        Assert.Equal(Start + Duration.FromMinutes(10), LogCsv.Read(file, new LogCsvHints(null, Start, lit, Oslo)).Value.Batch.Readings[0].At);
        var refusal = LogCsv.Read(file, new LogCsvHints(null, null, null, Oslo)).Refusal!;
        Assert.Equal((RefusalKind.Rule, "firings.csv-without-start"), (refusal.Kind, refusal.Code));
    }

    [Fact]
    public void A_time_of_day_is_not_taken_for_time_since_the_start_unless_the_start_is_said()
    {
        var file = "Time;°C\n07:00:00;20\n07:01:00;21\n"u8;
        Assert.Equal("firings.csv-time-of-day", LogCsv.Read(file, new LogCsvHints(null, null, Start, Oslo)).Refusal!.Code);
        Assert.Equal(Start + Duration.FromHours(7), LogCsv.Read(file, Started).Value.Batch.Readings[0].At);
    }

    [Fact]
    public void A_file_in_UTF_8_with_a_mark_in_front_is_read_and_one_in_another_encoding_refused()
    {
        Assert.Single(LogCsv.Read([0xEF, 0xBB, 0xBF, .. "time;°C\n0;20\n"u8], Started).Value.Batch.Readings);
        Assert.Equal("firings.csv-encoding", LogCsv.Read(Encoding.Latin1.GetBytes("time;°C\n0;20\n"), Started).Refusal!.Code);
    }

    [Theory]
    [InlineData("", "firings.empty-batch", 0, 0)]
    [InlineData("\n \n", "firings.empty-batch", 0, 0)]
    [InlineData("time;°C\n", "firings.empty-batch", 0, 0)]
    [InlineData("hello", "firings.csv-no-header", 0, 0)]
    [InlineData("1;2;3\n4;5;6", "firings.csv-no-header", 0, 0)]
    [InlineData("time;°C\n0;20\nabc;21", "firings.csv-time", 3, 1)]
    [InlineData("time;°C\n14/03/2026 07:00;20", "firings.csv-time", 2, 1)]
    [InlineData("time;°C\n0;20\n0:05;21", "firings.csv-time", 3, 1)]
    [InlineData("time;°C\n0;20\n-5;21", "firings.csv-time", 3, 1)]
    [InlineData("time;°C\n0;20\n1000000;21", "firings.csv-time", 3, 1)]
    [InlineData("time;°C\n0:00;20\n0:75;21", "firings.csv-time", 3, 1)]
    [InlineData("°C;time\n20;2026-03-29 01:59\n21;2026-03-29 02:30", "firings.csv-time", 3, 2)]
    [InlineData("°C;time\n20;2026-10-25 02:30", "firings.csv-time", 2, 2)]
    [InlineData("time;°C\n0;hot", "firings.csv-number", 2, 2)]
    [InlineData("time;°C\n0;1,222.5", "firings.csv-number", 2, 2)]
    [InlineData("time;°C\n0;1e3", "firings.csv-number", 2, 2)]
    [InlineData("no;time;°C\n1.5;0;20", "firings.csv-number", 2, 1)]
    [InlineData("time;°C\n0;20,5\n1;20.5", "firings.csv-decimal-mark", 3, 2)]
    [InlineData("time;°C\n0,5;20.5", "firings.csv-decimal-mark", 2, 2)]
    [InlineData("time,°C\n0,20,5", "firings.csv-columns", 2, 2)]
    [InlineData("time;°C\n0", "firings.csv-columns", 2, 1)]
    [InlineData("time;°C\n\"0;20", "firings.csv-quote", 2, 1)]
    [InlineData("time;temperature\n0;20", "firings.csv-unit", 1, 2)]
    [InlineData("time;°C\n0;20\u0001", "firings.csv-control-character", 0, 0)]
    public void What_cannot_be_read_is_refused_by_line_and_column(string file, string code, int line, int column)
    {
        var refusal = Read(file).Refusal!;
        Assert.Equal((RefusalKind.Invalid, code), (refusal.Kind, refusal.Code));
        if (line == 0) return;
        Assert.StartsWith($"Line {line}, column {column}: ", refusal.Message, StringComparison.Ordinal);
        Assert.Equal((line, column), ((int)refusal.Values["line"]!, (int)refusal.Values["column"]!));
    }

    [Fact]
    public void A_header_that_contradicts_the_query_is_refused_and_one_that_says_the_same_is_not()
    {
        Assert.Equal("firings.csv-unit", LogCsv.Read("time;°C\n0;20"u8, Started with { Unit = LogUnit.Fahrenheit }).Refusal!.Code);
        Assert.Equal(LogUnit.Celsius, LogCsv.Read("time;°C\n0;20"u8, Started with { Unit = LogUnit.Celsius }).Value.Form.Unit);
        Assert.Equal(LogUnit.Fahrenheit, LogCsv.Read("time;temperature\n0;68"u8, Started with { Unit = LogUnit.Fahrenheit }).Value.Form.Unit);
    }

    [Fact]
    public void The_number_of_lines_is_bounded()
    {
        var most = "time;°C\n" + string.Concat(Enumerable.Repeat("0;20\n", LogCsvLines.MostLines - 1));
        Assert.Equal(LogCsvLines.MostLines - 1, Read(most).Value.Batch.Readings.Count);
        Assert.Equal("firings.csv-too-long", Read(most + "0;20\n").Refusal!.Code);
    }

    [Fact]
    public void What_a_logger_writes_is_read_back_in_every_form() =>
        Gen.Select(
            Gen.Int[0, 2].Select(i => ";\t,"[i]), Gen.Bool, Gen.Int[0, 3].Select(i => Forms[i]), Gen.Int[0, 3000].Array[1, 40])
                .Sample((separator, comma, form, tenths) =>
        {
            var text = $"Time ({(form == LogCsvTimeForm.Seconds ? "s" : "min")}){separator}Temperature (°C)\n"
                + string.Concat(tenths.Select((t, i) => $"{Time(i, form)}{separator}\"{Number(t, comma)}\"\n"));
            var read = Read(text).Value;
            Assert.Equal(tenths.Select((t, i) => new LoggerReading(i + 2, Start + Duration.FromMinutes(i), t / 10.0)), read.Batch.Readings);
            Assert.Equal((form, comma ? LogCsvDecimalMark.Comma : LogCsvDecimalMark.Point), (read.Form.TimeForm, read.Form.DecimalMark!.Value));
        }, iter: 300);

    [Fact]
    public void No_file_whatever_makes_it_fail() =>
        Gen.Select(Gen.String["time°CF;,\t\"0123456789.-:TZ+#\n\r x"], Gen.Bool).Sample((tail, headed) =>
        {
            var read = Read((headed ? "time;°C\n" : "") + tail);
            if (read.Refusal is { } refusal) Assert.NotEmpty(refusal.Message);
            else Assert.NotEmpty(read.Value.Batch.Readings);
        }, iter: 5000);

    private static string Time(int minute, LogCsvTimeForm form) => form switch
    {
        LogCsvTimeForm.Seconds => $"{minute * 60}",
        LogCsvTimeForm.Minutes => $"{minute}",
        LogCsvTimeForm.Clock => $"{minute / 60}:{minute % 60:00}:00",
        _ => $"2026-03-14T06:{minute:00}:00Z",
    };

    private static string Number(int tenths, bool comma) => $"{tenths / 10}{(comma ? ',' : '.')}{tenths % 10}";

    private static Result<LogCsv> Read(string file) => LogCsv.Read(Encoding.UTF8.GetBytes(file), Started);
}
