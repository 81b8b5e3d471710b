using System.Globalization;
using CsCheck;
using KilnShare.Api.Papers;
using KilnShare.Api.Tests.Costs;

namespace KilnShare.Api.Tests.Papers;

/// <summary>Tables are read back by the grammar of RFC 4180, and by spreadsheets that divide them at semicolons.</summary>
public sealed class CsvTableTests
{
    // What begins a formula in a spreadsheet. Source: OWASP, CSV Injection, with the full-width forms of the four signs.
    private const string Starts = "=+-@\t\r＝＋－＠";

    [Theory]
    [InlineData("=1+1", "'=1+1")]
    [InlineData("+49 30", "'+49 30")]
    [InlineData("-2", "'-2")]
    [InlineData("@name", "'@name")]
    [InlineData("\tx", "'\tx")]
    [InlineData("\rx", "'\rx")]
    [InlineData("＝1", "'＝1")]
    [InlineData("bowl,=1+1", "bowl,'=1+1")]
    [InlineData("bowl;=1+1", "bowl;'=1+1")]
    [InlineData("bowl; =1+1", "bowl; '=1+1")]
    [InlineData("bowl\n=1+1", "bowl\n'=1+1")]
    [InlineData("a,＋b;－c", "a,'＋b;'－c")]
    [InlineData(";;@x", ";;'@x")]
    public void A_part_that_would_be_a_formula_is_guarded_wherever_a_cell_may_begin(string text, string read) => Assert.Equal(read, Read(text));

    [Theory]
    [InlineData("a-b")]
    [InlineData("3 = 3")]
    [InlineData("kiln 2, shelf 1; left - right")]
    [InlineData("he said \"now\"")]
    [InlineData("")]
    public void Other_text_stays_as_it_is(string text) => Assert.Equal(text, Read(text));

    [Fact]
    public void Numbers_stay_numbers_and_negative_money_still_sums()
    {
        decimal[] amounts = [-12.5m, 0.01m, -0.01m, 1234567.89m];
        var table = new CsvTable("amount");
        foreach (var amount in amounts) table.Number(amount).EndRow();
        Assert.Equal(amounts.Sum(), CsvReading.Rows(table.ToString()).Skip(1)
            .Sum(r => decimal.Parse(r[0], NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture)));
    }

    [Fact]
    public void Whatever_is_written_reads_back_but_for_its_guards_and_no_part_begins_a_formula() =>
        Gen.Char["=+-@\t\r\n＝＋－＠,; \"a1"].Array[0, 12].Select(c => new string(c)).Sample(text =>
        {
            var read = Read(text);
            Assert.Equal(text, read.Replace("'", "", StringComparison.Ordinal));
            foreach (var part in read.Split(',', ';', '\n').Select(p => p.TrimStart(' ')).Where(p => p.Length > 0)) Assert.DoesNotContain(part[0], Starts);
        });

    [Fact]
    public void A_semicolon_in_a_text_divides_no_row_even_where_cells_are_divided_at_semicolons()
    {
        var line = new CsvTable("what").Text("bowl;=1").EndRow().ToString().Split("\r\n")[1];
        Assert.Equal("\"bowl;'=1\"", line);
    }

    private static string Read(string text)
    {
        var row = CsvReading.Rows(new CsvTable("a", "b").Text(text).Text("end").EndRow().ToString())[1];
        Assert.Equal("end", row[1]);
        return row[0];
    }
}
