using System.Globalization;
using System.Text;
using System.Xml;

namespace KilnShare.Api.Papers;

/// <summary>A sketch as SVG: sizes are parts of the width, so it fills a telephone as well as a sheet.</summary>
public static class SketchSvg
{
    private const string Namespace = "http://www.w3.org/2000/svg";

    /// <summary>The media type.</summary>
    public const string MediaType = "image/svg+xml";

    /// <summary>The sketch with a margin around it.</summary>
    public static string Write(Sketch sketch, string title, double margin)
    {
        var text = new StringBuilder();
        using (var xml = XmlWriter.Create(text, new XmlWriterSettings { OmitXmlDeclaration = true, Indent = true, IndentChars = " ", NewLineChars = "\n" }))
        {
            xml.WriteStartElement("svg", Namespace);
            xml.WriteAttributeString(
                "viewBox", $"{Number(-margin)} {Number(-margin)} {Number(sketch.Width + (2 * margin))} {Number(sketch.Height + (2 * margin))}");
            xml.WriteAttributeString("role", "img");
            xml.WriteAttributeString("font-family", "sans-serif");
            xml.WriteElementString("title", Namespace, Clean(title));
            Write(xml, new Mark.Path([new(-margin, -margin), new(sketch.Width + margin, -margin), new(
                sketch.Width + margin, sketch.Height + margin), new(-margin, sketch.Height + margin)], true, new Ink(1, null)));
            foreach (var mark in sketch.Marks) Write(xml, mark);
            xml.WriteEndElement();
        }

        return text.ToString();
    }

    /// <summary>The text without the characters that XML does not allow.</summary>
    public static string Clean(string text)
    {
        var kept = new StringBuilder(text.Length);
        foreach (var rune in text.EnumerateRunes())
        {
            if (rune.Value > char.MaxValue || XmlConvert.IsXmlChar((char)rune.Value)) kept.Append(rune.ToString());
        }

        return kept.ToString();
    }

    private static void Write(XmlWriter xml, Mark mark)
    {
        switch (mark)
        {
            case Mark.Path path:
                xml.WriteStartElement("path", Namespace);
                xml.WriteAttributeString("d", "M" + string.Join('L', path.Corners.Select(c => $"{Number(c.X)} {Number(c.Y)}")) + (path.Closed ? "Z" : ""));
                Write(xml, path.Ink);
                break;
            case Mark.Disc disc:
                xml.WriteStartElement("circle", Namespace);
                xml.WriteAttributeString("cx", Number(disc.Centre.X));
                xml.WriteAttributeString("cy", Number(disc.Centre.Y));
                xml.WriteAttributeString("r", Number(disc.Radius));
                Write(xml, disc.Ink);
                break;
            case Mark.Text text:
                xml.WriteStartElement("text", Namespace);
                xml.WriteAttributeString("x", Number(text.At.X));
                xml.WriteAttributeString("y", Number(text.At.Y));
                xml.WriteAttributeString("font-size", Number(text.Size));
                if (text.Anchor != TextAnchor.Start) xml.WriteAttributeString("text-anchor", text.Anchor == TextAnchor.Middle ? "middle" : "end");
                if (text.Bold) xml.WriteAttributeString("font-weight", "bold");
                xml.WriteAttributeString("fill", Grey(text.Grey));
                xml.WriteString(Clean(text.Words));
                break;
        }

        xml.WriteEndElement();
    }

    private static void Write(XmlWriter xml, Ink ink)
    {
        xml.WriteAttributeString("fill", Grey(ink.Fill));
        if (ink.Line is null) return;
        xml.WriteAttributeString("stroke", Grey(ink.Line));
        xml.WriteAttributeString("stroke-width", Number(ink.Width));
        xml.WriteAttributeString("stroke-linejoin", "round");
        if (ink.Dashed) xml.WriteAttributeString("stroke-dasharray", $"{Number(ink.Width * 4)} {Number(ink.Width * 3)}");
    }

    private static string Grey(double? grey)
    {
        if (grey is null) return "none";
        var level = (int)Math.Round(255 * grey.Value);
        return string.Create(CultureInfo.InvariantCulture, $"#{level:x2}{level:x2}{level:x2}");
    }

    private static string Number(double value) => Math.Round(value, 2).ToString(CultureInfo.InvariantCulture);
}
