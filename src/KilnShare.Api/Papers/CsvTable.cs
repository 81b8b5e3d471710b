using System.Buffers;
using System.Globalization;
using System.Text;

namespace KilnShare.Api.Papers;

/// <summary>A table as CSV (RFC 4180), safe to open in a spreadsheet: text can never become a formula there.</summary>
public sealed class CsvTable
{
    /// <summary>The media type.</summary>
    public const string MediaType = "text/csv; charset=utf-8; header=present";

    // A spreadsheet takes a cell that begins so for a formula, or drops the character: OWASP's list, and its full-width forms.
    private const string FormulaStarts = "=+-@\t\r＝＋－＠";

    // What a spreadsheet may be told, or may take it upon itself, to divide cells by: a part after one of these is a cell's beginning then.
    private const string Dividers = ",;\t\r\n";

    // A cell that holds one of these is quoted. The semicolon need not be by RFC 4180, but some spreadsheets divide by it.
    private static readonly SearchValues<char> Quoted = SearchValues.Create(",;\"\t\r\n");

    private readonly StringBuilder text = new();

    private bool inRow;

    /// <summary>A table with a row of headings.</summary>
    public CsvTable(params ReadOnlySpan<string> headings)
    {
        foreach (var heading in headings) Text(heading);
        EndRow();
    }

    /// <summary>A cell of text; each part of it that would be read as a formula, were it a cell, gets an apostrophe before it.</summary>
    public CsvTable Text(string? value) => Cell(Guarded(value ?? ""));

    /// <summary>A number, written as one.</summary>
    public CsvTable Number(decimal? value) => Cell(value?.ToString(CultureInfo.InvariantCulture) ?? "");

    /// <summary>Ends the row.</summary>
    public CsvTable EndRow()
    {
        text.Append("\r\n");
        inRow = false;
        return this;
    }

    /// <summary>The answer, as a file.</summary>
    public IResult Answer(string fileName) => TypedResults.File(Encoding.UTF8.GetBytes(text.ToString()), MediaType, fileName);

    /// <inheritdoc/>
    public override string ToString() => text.ToString();

    private static string Guarded(string value)
    {
        var (guarded, begins) = (new StringBuilder(value.Length), true);
        foreach (var c in value)
        {
            if (begins && FormulaStarts.Contains(c, StringComparison.Ordinal)) guarded.Append('\'');
            guarded.Append(c);
            begins = Dividers.Contains(c, StringComparison.Ordinal) || (begins && c == ' ');
        }

        return guarded.ToString();
    }

    private CsvTable Cell(string value)
    {
        if (inRow) text.Append(',');
        inRow = true;
        if (value.AsSpan().IndexOfAny(Quoted) < 0) text.Append(value);
        else text.Append('"').Append(value.Replace("\"", "\"\"", StringComparison.Ordinal)).Append('"');
        return this;
    }
}
