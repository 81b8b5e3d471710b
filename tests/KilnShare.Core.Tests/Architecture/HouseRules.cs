using System.Text.RegularExpressions;

namespace KilnShare.Core.Tests.Architecture;

/// <summary>The rules of the house (DEVELOPERS.md) as functions from sources to complaints, so that each can be shown a fault.</summary>
internal static partial class HouseRules
{
    /// <summary>Most lines of a file.</summary>
    public const int MostLines = 300;

    /// <summary>Most columns of a line.</summary>
    public const int MostColumns = 160;

    /// <summary>The capabilities, each using only those before it.</summary>
    public static readonly string[] Order =
    [
        "Common", "Studios", "Cones", "Materials", "Pieces", "Kilns", "Firings", "CoFiring", "Loading", "Bookings", "Energy", "Costs", "Planning", "Outcomes",
    ];

    /// <summary>Every use of a later capability, as "file uses Capability".</summary>
    public static IReadOnlyList<string> UsesOfLater(IEnumerable<SourceFile> files) =>
    [
        .. from file in files
           let own = CapabilityOf(file.Path)
           where own is not null
           from used in CapabilitiesNamed().Matches(file.Text).Select(m => m.Groups["name"].Value).Distinct(StringComparer.Ordinal)
           where Rank(used) > Rank(own)
           select $"{file.Path} uses {used}",
    ];

    /// <summary>Files that name Npgsql.</summary>
    public static IReadOnlyList<string> KnowNpgsql(IEnumerable<SourceFile> files) =>
        [.. files.Where(f => DriverNamed().IsMatch(f.Text)).Select(f => f.Path)];

    /// <summary>Files of more lines than are allowed.</summary>
    public static IReadOnlyList<string> TooLong(IEnumerable<SourceFile> files) =>
        [.. files.Where(f => f.Text.Split('\n').Length - 1 > MostLines).Select(f => f.Path)];

    /// <summary>Lines of more columns than an eye takes in, as "path:line". SQL and JSON in raw texts are read as they are, and do not count.</summary>
    public static IReadOnlyList<string> TooWide(IEnumerable<SourceFile> files) => [.. files.SelectMany(WideLines)];

    private static IEnumerable<string> WideLines(SourceFile file)
    {
        var isRaw = false;
        foreach (var (number, line) in file.Text.Split('\n').Index())
        {
            var marks = RawMark().Count(line);
            if (line.TrimEnd('\r').Length > MostColumns && !isRaw && marks == 0) yield return $"{file.Path}:{number + 1}";
            isRaw ^= marks % 2 == 1;
        }
    }

    [GeneratedRegex("\"{3,}")]
    private static partial Regex RawMark();

    /// <summary>SQL in the code that asks a table without naming the studio, as "file: the statement's beginning".</summary>
    public static IReadOnlyList<string> AskWithoutStudio(IEnumerable<SourceFile> files) =>
    [
        .. from file in files
           from literal in Literals().Matches(file.Text).Select(m => m.Groups["text"].Value)
           where Statement().IsMatch(literal) && TableNamed().IsMatch(literal) && !StudioNamed().IsMatch(literal)
           select $"{file.Path}: {literal.Trim()[..Math.Min(40, literal.Trim().Length)]}",
    ];

    private static string? CapabilityOf(string path) => path.Split('/') is [_, _, var folder, _, ..] && Rank(folder) >= 0 ? folder : null;

    private static int Rank(string capability) => Array.IndexOf(Order, capability);

    [GeneratedRegex(@"\bKilnShare\.(?:Core|Solver|Storage|Api)\.(?<name>\w+)", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex CapabilitiesNamed();

    [GeneratedRegex(@"\bNpgsql\w*", RegexOptions.CultureInvariant, 1000)]
    private static partial Regex DriverNamed();

    [GeneratedRegex(""" "{3}(?<text>.*?)"{3}|"(?<text>([^"\\\n]|\\.)*)" """,
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture | RegexOptions.Singleline | RegexOptions.IgnorePatternWhitespace, 1000)]
    private static partial Regex Literals();

    [GeneratedRegex(@"^\s*(select|insert|update|delete|with|merge|truncate|copy|lock)\s",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture | RegexOptions.IgnoreCase, 1000)]
    private static partial Regex Statement();

    [GeneratedRegex(@"\b(from|into|update|join|table|using)\s+(?!pg_|unnest\b|generate_series\b)[a-z""]",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture | RegexOptions.IgnoreCase, 1000)]
    private static partial Regex TableNamed();

    [GeneratedRegex(@"\bstudio_id = |^\s*insert into \w+ \(studio_id,", RegexOptions.CultureInvariant, 1000)]
    private static partial Regex StudioNamed();
}
