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

    private readonly StringBuilder text = new();

    private bool inRow;

    /// <summary>A table with a row of headings.</summary>
    public CsvTable(params ReadOnlySpan<string> headings)
    {
        foreach (var heading in headings) Text(heading);
        EndRow();
    }

    /// <summary>A cell of text; one that would be read as a formula gets an apostrophe before it.</summary>
    public CsvTable Text(string? value) =>
        Cell(value is { Length: > 0 } && FormulaStarts.Contains(value[0], StringComparison.Ordinal) ? "'" + value : value ?? "");

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

    private CsvTable Cell(string value)
    {
        if (inRow) text.Append(',');
        inRow = true;
        if (value.AsSpan().IndexOfAny(",\"\r\n") < 0) text.Append(value);
        else text.Append('"').Append(value.Replace("\"", "\"\"", StringComparison.Ordinal)).Append('"');
        return this;
    }
}
