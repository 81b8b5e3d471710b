using System.Globalization;
using PdfSharp;
using PdfSharp.Drawing;
using PdfSharp.Pdf;

namespace KilnShare.Api.Papers;

/// <summary>A column of a table on paper.</summary>
/// <param name="Heading">Its heading.</param>
/// <param name="Width">Its part of the page's width, against the other columns'.</param>
/// <param name="Right">True for figures: set to the right.</param>
public sealed record PaperColumn(string Heading, double Width, bool Right = false);

/// <summary>A row of a table on paper.</summary>
/// <param name="Cells">One text a column.</param>
/// <param name="Bold">True for sums.</param>
public sealed record PaperRow(IReadOnlyList<string> Cells, bool Bold = false);

/// <summary>An A4 paper written from top to bottom: headings, lines of text, tables over as many pages as they take, and page numbers.</summary>
public sealed class PdfPaper : IDisposable
{
    private const double Margin = 48; // points, as all lengths here
    private const double Foot = 60;
    private const double TextSize = 9;
    private const double LineHeight = 12.5;
    private const double CellGap = 9;

    private readonly PdfDocument document = new();
    private readonly XFont textFont;
    private readonly XFont boldFont;
    private readonly XFont titleFont;
    private XGraphics page;
    private double y;

    /// <summary>A paper with a title; the instant is when it was made.</summary>
    public PdfPaper(string title, DateTime madeUtc)
    {
        PaperFont.Register();
        document.Info.Title = title;
        document.Info.Creator = "KilnShare";
        document.Info.CreationDate = madeUtc;
        document.Info.ModificationDate = madeUtc;
        textFont = new XFont(PaperFont.Family, TextSize);
        boldFont = new XFont(PaperFont.Family, TextSize, XFontStyleEx.Bold);
        titleFont = new XFont(PaperFont.Family, 15, XFontStyleEx.Bold);
        page = AddPage();
        Draw(title, titleFont, Margin, Inner, false);
        y += 26;
    }

    private double Inner => page.PageSize.Width - (2 * Margin);

    private double Bottom => page.PageSize.Height - Foot;

    /// <summary>A heading within the paper, on one page with a line of text and the beginning of a table under it.</summary>
    public PdfPaper Heading(string text)
    {
        Keep(7 * LineHeight);
        y += 8;
        Draw(text, boldFont, Margin, Inner, false);
        y += LineHeight + 3;
        return this;
    }

    /// <summary>A paragraph, broken into lines.</summary>
    public PdfPaper Text(string text)
    {
        foreach (var line in Lines(text, textFont, Inner))
        {
            Keep(LineHeight);
            Draw(line, textFont, Margin, Inner, false);
            y += LineHeight;
        }

        return this;
    }

    /// <summary>A table; its headings are repeated on each page.</summary>
    /// <param name="columns">Its columns.</param>
    /// <param name="rows">Its rows.</param>
    /// <param name="whole">True for a small one that stands on one page, such as one for signatures.</param>
    public PdfPaper Table(IReadOnlyList<PaperColumn> columns, IEnumerable<PaperRow> rows, bool whole = false)
    {
        var unit = Inner / columns.Sum(c => c.Width);
        var widths = columns.Select(c => c.Width * unit).ToArray();
        Keep(whole ? (rows.Count() + 2) * (LineHeight + 4) : 3 * LineHeight);
        Headings(columns, widths);
        foreach (var row in rows) Row(columns, widths, row);
        y += LineHeight / 2;
        return this;
    }

    /// <summary>Sketches in two columns, in reading order, none broken over two pages.</summary>
    public PdfPaper Pictures(IEnumerable<Sketch> sketches)
    {
        var width = (Inner - LineHeight) / 2;
        foreach (var row in sketches.Chunk(2))
        {
            var scales = row.Select(s => Math.Min(width / s.Width, (Bottom - Margin) / s.Height)).ToArray();
            var height = row.Select((s, i) => s.Height * scales[i]).Max();
            Keep(height);
            for (var i = 0; i < row.Length; i++) SketchPdf.Draw(page, row[i], Margin + (i * (width + LineHeight)), y, scales[i]);
            y += height + LineHeight;
        }

        return this;
    }

    /// <summary>The answer, as a file.</summary>
    public IResult Answer(string fileName)
    {
        page.Dispose();
        for (var i = 0; i < document.PageCount; i++)
        {
            using var numbering = XGraphics.FromPdfPage(document.Pages[i]);
            var text = string.Create(CultureInfo.InvariantCulture, $"{document.Info.Title}   ·   page {i + 1} of {document.PageCount}");
            numbering.DrawString(text, textFont, XBrushes.Gray, new XPoint(Margin, numbering.PageSize.Height - (Foot / 2)), XStringFormats.Default);
        }

        using var file = new MemoryStream();
        document.Save(file);
        return TypedResults.File(StablePdf.Of(file.ToArray()), "application/pdf", fileName);
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        page.Dispose();
        document.Dispose();
    }

    private XGraphics AddPage()
    {
        var added = document.AddPage();
        added.Size = PageSize.A4;
        y = Margin;
        return XGraphics.FromPdfPage(added);
    }

    /// <summary>Begins a new page where so much no longer fits on this one; true when it did.</summary>
    private bool Keep(double height)
    {
        if (y + height <= Bottom) return false;
        page.Dispose();
        page = AddPage();
        return true;
    }

    private void Headings(IReadOnlyList<PaperColumn> columns, double[] widths)
    {
        DrawCells(columns, widths, [.. columns.Select((c, i) => (IReadOnlyList<string>)Lines(c.Heading, boldFont, widths[i] - CellGap))], boldFont);
        page.DrawLine(new XPen(XColors.Black, 0.7), Margin, y, Margin + Inner, y);
        y += 4;
    }

    private void Row(IReadOnlyList<PaperColumn> columns, double[] widths, PaperRow row)
    {
        var font = row.Bold ? boldFont : textFont;
        var lines = row.Cells.Select((cell, i) => (IReadOnlyList<string>)Lines(cell, font, widths[i] - CellGap)).ToList();
        if (Keep((lines.Max(l => l.Count) * LineHeight) + 3)) Headings(columns, widths);
        DrawCells(columns, widths, lines, font);
        page.DrawLine(new XPen(XColors.LightGray, 0.4), Margin, y, Margin + Inner, y);
        y += 3;
    }

    private void DrawCells(IReadOnlyList<PaperColumn> columns, double[] widths, List<IReadOnlyList<string>> lines, XFont font)
    {
        var (left, top) = (Margin, y);
        for (var i = 0; i < lines.Count; left += widths[i++])
        {
            y = top;
            foreach (var line in lines[i])
            {
                Draw(line, font, left, widths[i] - CellGap, columns[i].Right);
                y += LineHeight;
            }
        }

        y = top + (lines.Max(l => l.Count) * LineHeight) + 1;
    }

    private void Draw(string text, XFont font, double left, double width, bool right) => page.DrawString(
        text, font, XBrushes.Black, new XRect(left, y, width, LineHeight), right ? XStringFormats.TopRight : XStringFormats.TopLeft);

    /// <summary>The text in lines that fit; a word too long for a line is cut.</summary>
    private List<string> Lines(string text, XFont font, double width)
    {
        var (lines, line) = (new List<string>(), "");
        foreach (var word in text.Split([' ', '\n', '\r', '\t'], StringSplitOptions.RemoveEmptyEntries))
        {
            var longer = line.Length == 0 ? word : line + " " + word;
            if (page.MeasureString(longer, font).Width <= width)
            {
                line = longer;
                continue;
            }

            if (line.Length > 0) lines.Add(line);
            line = word;
            while (line.Length > 1 && page.MeasureString(line, font).Width > width)
            {
                var cut = line.Length - 1;
                while (cut > 1 && page.MeasureString(line[..cut], font).Width > width) cut--;
                lines.Add(line[..cut]);
                line = line[cut..];
            }
        }

        lines.Add(line);
        return lines;
    }
}
