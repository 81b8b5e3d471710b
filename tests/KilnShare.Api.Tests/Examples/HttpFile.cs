using System.Text.RegularExpressions;

namespace KilnShare.Api.Tests.Examples;

/// <summary>One request of an example file.</summary>
internal sealed record HttpExample(
    string Title, string Method, string Path, IReadOnlyDictionary<string, string> Headers, string? Body, int? Expected,
        IReadOnlyList<(string Name, string Path)> Keeps);

/// <summary>Reads an example file; fails on anything it does not know.</summary>
internal static partial class HttpFile
{
    public static IReadOnlyList<HttpExample> Read(string text)
    {
        var examples = new List<HttpExample>();
        var parts = text.ReplaceLineEndings("\n").Split("\n### ");
        if (parts[0].Split('\n').Any(l => l.Length > 0 && !l.StartsWith("# ", StringComparison.Ordinal) && !l.StartsWith("### ", StringComparison.Ordinal)))
            throw new FormatException("Only comments may stand before the first ###.");
        foreach (var part in parts.Skip(1)) examples.Add(One(part));
        return examples;
    }

    private static HttpExample One(string part)
    {
        var lines = new Queue<string>(part.TrimEnd().Split('\n'));
        var title = lines.Dequeue();
        var keeps = new List<(string, string)>();
        int? expected = null;
        while (lines.Peek().StartsWith("# ", StringComparison.Ordinal))
        {
            var words = lines.Dequeue().Split(' ');
            if (words is ["#", "@keep", var name, var path]) keeps.Add((name, path));
            else if (words is ["#", "@expect", var status]) expected = int.Parse(status);
            else throw new FormatException($"{title}: unknown direction {string.Join(' ', words)}");
        }

        var request = RequestLine().Match(lines.Dequeue());
        if (!request.Success) throw new FormatException($"{title}: no request line");
        var headers = new Dictionary<string, string>(StringComparer.OrdinalIgnoreCase);
        while (lines.Count > 0 && lines.Peek().Length > 0)
        {
            var header = lines.Dequeue().Split(": ", 2);
            if (header.Length != 2) throw new FormatException($"{title}: no header: {header[0]}");
            headers.Add(header[0], header[1]);
        }

        var body = string.Join('\n', lines).Trim();
        return new HttpExample(title, request.Groups["method"].Value, request.Groups["path"].Value, headers, body.Length == 0 ? null : body, expected, keeps);
    }

    [GeneratedRegex(@"^(?<method>GET|POST|PUT|PATCH|DELETE) \{\{url\}\}(?<path>/\S+)$", RegexOptions.NonBacktracking | RegexOptions.ExplicitCapture)]
    private static partial Regex RequestLine();
}
