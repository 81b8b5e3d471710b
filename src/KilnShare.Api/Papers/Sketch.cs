namespace KilnShare.Api.Papers;

/// <summary>A point of a sketch; y grows downwards.</summary>
/// <param name="X">To the right.</param>
/// <param name="Y">Downwards.</param>
public readonly record struct Dot(double X, double Y);

/// <summary>How a mark is drawn. Everything is a grey, so that nothing is lost in print.</summary>
/// <param name="Fill">Grey of the area, 0 black to 1 white; null: see-through.</param>
/// <param name="Line">Grey of the line; null: none.</param>
/// <param name="Width">Of the line.</param>
/// <param name="Dashed">True for a broken line.</param>
public sealed record Ink(double? Fill, double? Line, double Width = 1, bool Dashed = false);

/// <summary>Which end of a text its point is.</summary>
public enum TextAnchor
{
    /// <summary>Its left end.</summary>
    Start,

    /// <summary>Its middle.</summary>
    Middle,

    /// <summary>Its right end.</summary>
    End,
}

/// <summary>Something drawn.</summary>
public abstract record Mark
{
    private Mark()
    {
    }

    /// <summary>An area or a line through points.</summary>
    public sealed record Path(IReadOnlyList<Dot> Corners, bool Closed, Ink Ink) : Mark;

    /// <summary>A disc.</summary>
    public sealed record Disc(Dot Centre, double Radius, Ink Ink) : Mark;

    /// <summary>A text on its base line.</summary>
    public sealed record Text(Dot At, string Words, double Size, TextAnchor Anchor, bool Bold, double Grey) : Mark;
}

/// <summary>A drawing apart from the format it is written in: marks in the order they are drawn, the last on top.</summary>
/// <param name="width">Its width; lengths have no unit but this.</param>
public sealed class Sketch(double width)
{
    private readonly List<Mark> marks = [];

    /// <summary>Its width.</summary>
    public double Width => width;

    /// <summary>How far it reaches down so far.</summary>
    public double Height { get; private set; }

    /// <summary>What is drawn.</summary>
    public IReadOnlyList<Mark> Marks => marks;

    /// <summary>Leaves room downwards.</summary>
    public void Down(double by) => Height += by;

    /// <summary>A closed area.</summary>
    public void Area(IReadOnlyList<Dot> corners, Ink ink) => marks.Add(new Mark.Path(corners, true, ink));

    /// <summary>A line.</summary>
    public void Line(Dot from, Dot to, Ink ink) => marks.Add(new Mark.Path([from, to], false, ink));

    /// <summary>A disc.</summary>
    public void Disc(Dot centre, double radius, Ink ink) => marks.Add(new Mark.Disc(centre, radius, ink));

    /// <summary>A text on its base line.</summary>
    public void Text(Dot at, string words, double size, TextAnchor anchor = TextAnchor.Start, bool bold = false, double grey = 0.1) =>
        marks.Add(new Mark.Text(at, words, size, anchor, bold, grey));

    /// <summary>A paragraph below what there is, over the whole width.</summary>
    public void Paragraph(string words, double size, bool bold = false, double grey = 0.1)
    {
        foreach (var line in TextWidths.Wrap(words, size, width))
        {
            Down(size * TextWidths.LineHeight);
            Text(new Dot(0, Height), line, size, bold: bold, grey: grey);
        }
    }
}
