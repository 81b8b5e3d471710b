using System.Text;

namespace KilnShare.Api.Papers;

/// <summary>How wide text is, about: whoever shows a picture brings a font of their own, so every guess is on the wide side.</summary>
public static class TextWidths
{
    /// <summary>From base line to base line, in sizes.</summary>
    public const double LineHeight = 1.25;

    // In sizes, for the widest of the usual sans-serif fonts.
    private const double Usual = 0.62;
    private const double Capital = 0.76;
    private const double Slim = 0.34;
    private const double Full = 1.05;
    private const int FirstFullWidth = 0x1100; // Hangul, kana, Han and emoji lie from here on

    /// <summary>The width of a text.</summary>
    public static double Of(string text, double size) => size * text.EnumerateRunes().Sum(r => OfRune(r));

    /// <summary>The text in lines no wider than that; a word too wide for a line is cut.</summary>
    public static IReadOnlyList<string> Wrap(string text, double size, double width)
    {
        var (lines, line) = (new List<string>(), "");
        foreach (var word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            var longer = line.Length == 0 ? word : line + " " + word;
            if (Of(longer, size) <= width)
            {
                line = longer;
                continue;
            }

            if (line.Length > 0) lines.Add(line);
            line = Clip(word, size, width);
        }

        lines.Add(line);
        return lines;
    }

    /// <summary>The text, cut with an ellipsis where it is wider than that.</summary>
    public static string Clip(string text, double size, double width)
    {
        if (Of(text, size) <= width) return text;
        var (kept, used) = (new StringBuilder(), Full * size);
        foreach (var rune in text.EnumerateRunes())
        {
            used += OfRune(rune) * size;
            if (used > width) break;
            kept.Append(rune.ToString());
        }

        return kept.Append('…').ToString();
    }

    private static double OfRune(Rune rune) => rune.Value switch
    {
        >= FirstFullWidth and not (>= 0x2000 and < 0x2E80) => Full,
        'i' or 'j' or 'l' or 't' or 'f' or 'r' or 'I' or ' ' or '.' or ',' or ':' or ';' or '\'' or '|' or '·' or '(' or ')' => Slim + 0.06,
        'm' or 'w' or 'M' or 'W' or '@' => Full,
        _ when Rune.IsUpper(rune) => Capital,
        _ => Usual,
    };
}
