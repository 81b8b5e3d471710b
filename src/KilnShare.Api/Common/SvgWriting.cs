using System.Globalization;
using System.Text;
using System.Xml;

namespace KilnShare.Api.Common;

/// <summary>Writes the few shapes that pictures of the service are made of; numbers to a tenth of a unit.</summary>
internal static class SvgWriting
{
    private const string Namespace = "http://www.w3.org/2000/svg";

    /// <summary>A whole picture: as wide as its page lets it be, with a name and a sentence for those who do not see it.</summary>
    public static string Picture(double width, double height, string title, string description, Action<XmlWriter> content)
    {
        var text = new StringBuilder();
        using (var svg = XmlWriter.Create(text, new XmlWriterSettings { OmitXmlDeclaration = true, Indent = true }))
        {
            svg.WriteStartElement("svg", Namespace);
            svg.WriteAttributeString("viewBox", $"0 0 {Number(width)} {Number(height)}");
            svg.WriteAttributeString("style", $"width:100%;max-width:{Number(width * 2)}px;height:auto");
            svg.WriteAttributeString("role", "img");
            svg.WriteAttributeString("font-family", "system-ui, sans-serif");
            svg.WriteElementString("title", Namespace, title);
            svg.WriteElementString("desc", Namespace, description);
            svg.Element("rect", ("width", Number(width)), ("height", Number(height)), ("fill", "#fff"));
            content(svg);
            svg.WriteEndElement();
        }

        return text.ToString();
    }

    /// <summary>An empty element with attributes.</summary>
    public static void Element(this XmlWriter svg, string name, params ReadOnlySpan<(string Name, string Value)> attributes)
    {
        svg.WriteStartElement(name, Namespace);
        foreach (var (attribute, value) in attributes) svg.WriteAttributeString(attribute, value);
        svg.WriteEndElement();
    }

    /// <summary>A straight line.</summary>
    public static void Line(this XmlWriter svg, double x1, double y1, double x2, double y2, string stroke, double width = 1, string dash = "none") =>
        svg.Element(
        "line", ("x1", Number(x1)), ("y1", Number(y1)), ("x2", Number(x2)), ("y2", Number(y2)),
        ("stroke", stroke), ("stroke-width", Number(width)), ("stroke-dasharray", dash));

    /// <summary>A line through points.</summary>
    public static void Polyline(this XmlWriter svg, IEnumerable<(double X, double Y)> points, string stroke, double width, string dash = "none") => svg.Element(
        "polyline", ("points", string.Join(' ', points.Select(p => $"{Number(p.X)},{Number(p.Y)}"))), ("fill", "none"), ("stroke", stroke),
        ("stroke-width", Number(width)), ("stroke-dasharray", dash), ("stroke-linejoin", "round"));

    /// <summary>A line of text; turned about its place where an angle is given.</summary>
    public static void Label(
        this XmlWriter svg, double x, double y, string text, double size, string anchor = "start", string fill = "#222", double turnDeg = 0, bool bold = false)
    {
        svg.WriteStartElement("text", Namespace);
        svg.WriteAttributeString("x", Number(x));
        svg.WriteAttributeString("y", Number(y));
        svg.WriteAttributeString("font-size", Number(size));
        svg.WriteAttributeString("text-anchor", anchor);
        svg.WriteAttributeString("fill", fill);
        if (bold) svg.WriteAttributeString("font-weight", "bold");
        if (turnDeg != 0) svg.WriteAttributeString("transform", $"rotate({Number(turnDeg)} {Number(x)} {Number(y)})");
        svg.WriteString(text);
        svg.WriteEndElement();
    }

    /// <summary>A number as SVG takes it.</summary>
    public static string Number(double value) => Math.Round(value, 1).ToString("0.#", CultureInfo.InvariantCulture);
}
