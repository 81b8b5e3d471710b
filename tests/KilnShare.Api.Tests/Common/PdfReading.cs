using System.IO.Compression;
using System.Text;
using System.Text.RegularExpressions;

namespace KilnShare.Api.Tests.Common;

/// <summary>Reads the words of a PDF back (ISO 32000-1, 7.3.8 streams and 9.4.3 text showing), knowing nothing of how it was written.</summary>
internal static partial class PdfReading
{
    private const int ZlibHeaderBytes = 2;

    /// <summary>Every text that is shown, a line each. Words in a font that names glyphs instead of characters are not read, and fail the test.</summary>
    public static string Text(byte[] file)
    {
        var shown = Streams(file).SelectMany(s => ShownPattern().Matches(s)).Select(m => m.Groups[1].Value).ToList();
        Assert.NotEmpty(shown);
        return string.Join('\n', shown.Select(text => EscapePattern().Replace(text, "$1")));
    }

    private static IEnumerable<string> Streams(byte[] file)
    {
        foreach (Match stream in StreamPattern().Matches(Encoding.Latin1.GetString(file)))
        {
            var data = file.AsSpan(stream.Index + stream.Length, int.Parse(
                LengthPattern().Match(stream.Value).Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture)).ToArray();
            // What is not packed is metadata, what has a Length1 a font.
            if (!stream.Value.Contains("FlateDecode", StringComparison.Ordinal) || stream.Value.Contains("/Length1", StringComparison.Ordinal)) continue;
            using var inflated = new StreamReader(new DeflateStream(new MemoryStream(data[ZlibHeaderBytes..]), CompressionMode.Decompress), Encoding.Latin1);
            var text = inflated.ReadToEnd();
            Assert.DoesNotContain("> Tj", text, StringComparison.Ordinal);
            yield return text;
        }
    }

    [GeneratedRegex("<<(?:(?!endobj).)*?>>\\s*stream\\r?\\n", RegexOptions.Singleline)]
    private static partial Regex StreamPattern();

    [GeneratedRegex("/Length ([0-9]+)")]
    private static partial Regex LengthPattern();

    [GeneratedRegex("\\(((?:[^\\\\()]|\\\\.)*)\\) ?Tj")]
    private static partial Regex ShownPattern();

    [GeneratedRegex("\\\\(.)")]
    private static partial Regex EscapePattern();
}
