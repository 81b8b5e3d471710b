using PdfSharp.Drawing;

namespace KilnShare.Api.Papers;

/// <summary>A sketch on a page of a PDF.</summary>
internal static class SketchPdf
{
    /// <summary>Draws it with its upper left corner there; lengths of the sketch are so many points.</summary>
    public static void Draw(XGraphics page, Sketch sketch, double left, double top, double scale)
    {
        var state = page.Save();
        page.TranslateTransform(left, top);
        page.ScaleTransform(scale);
        foreach (var mark in sketch.Marks) Draw(page, mark);
        page.Restore(state);
    }

    private static void Draw(XGraphics page, Mark mark)
    {
        switch (mark)
        {
            case Mark.Path path:
                var outline = new XGraphicsPath();
                outline.AddLines([.. path.Corners.Select(c => new XPoint(c.X, c.Y))]);
                if (path.Closed) outline.CloseFigure();
                if (Brush(path.Ink) is { } brush && Pen(path.Ink) is { } pen) page.DrawPath(pen, brush, outline);
                else if (Brush(path.Ink) is { } only) page.DrawPath(only, outline);
                else if (Pen(path.Ink) is { } line) page.DrawPath(line, outline);
                break;
            case Mark.Disc disc:
                var box = new XRect(disc.Centre.X - disc.Radius, disc.Centre.Y - disc.Radius, 2 * disc.Radius, 2 * disc.Radius);
                if (Brush(disc.Ink) is { } fill) page.DrawEllipse(fill, box);
                if (Pen(disc.Ink) is { } ring) page.DrawEllipse(ring, box);
                break;
            case Mark.Text text:
                var font = new XFont(PaperFont.Family, text.Size, text.Bold ? XFontStyleEx.Bold : XFontStyleEx.Regular);
                var format = text.Anchor switch
                {
                    TextAnchor.Middle => XStringFormats.BaseLineCenter,
                    TextAnchor.End => XStringFormats.BaseLineRight,
                    _ => XStringFormats.BaseLineLeft,
                };
                page.DrawString(text.Words, font, new XSolidBrush(Grey(text.Grey)), new XPoint(text.At.X, text.At.Y), format);
                break;
        }
    }

    private static XSolidBrush? Brush(Ink ink) => ink.Fill is { } grey ? new XSolidBrush(Grey(grey)) : null;

    private static XPen? Pen(Ink ink)
    {
        if (ink.Line is not { } grey) return null;
        var pen = new XPen(Grey(grey), ink.Width) { LineJoin = XLineJoin.Round };
        if (ink.Dashed) pen.DashPattern = [4, 3];
        return pen;
    }

    private static XColor Grey(double grey)
    {
        var level = (int)Math.Round(255 * grey);
        return XColor.FromArgb(level, level, level);
    }
}
