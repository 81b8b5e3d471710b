using System.Text.RegularExpressions;

namespace KilnShare.Core.Tests.Architecture;

/// <summary>The rooms of Core/Loading (its README.md draws them) as functions from sources to complaints.</summary>
internal static partial class LoadingRooms
{
    /// <summary>Most files of a folder.</summary>
    public const int MostFiles = 20;

    /// <summary>Where the rooms are.</summary>
    public const string Folder = "src/KilnShare.Core/Loading";

    // What the root folder's fronts are called here; its other files are data that all rooms know and that know no room.
    private const string Front = "front";
    private const string Data = "data";

    // Has geometry of its own and is used by the fronts only, so that it judges the search by other means.
    private const string Checks = "Checks";

    /// <summary>The rooms, each using only those before it.</summary>
    public static readonly string[] Order = ["Geometry", "Kernel", "Overlap", "Shelves", "Levels", "Search", "Finishing", Front, "Series"];

    /// <summary>Files of the root folder that use the rooms: what other capabilities call.</summary>
    public static readonly string[] Fronts = ["LoadSearch", "LoadChecks", "LoadSeriesChecks", "LoadAdvice", "LoadSummary", "Outline", "RoomMaking",
        "TapeMeasures",
        "KeptStart", "SharingOut"];

    /// <summary>Every use that goes up, or into or out of the checks, as "file uses Room".</summary>
    public static IReadOnlyList<string> UsesUpward(IEnumerable<SourceFile> files) =>
    [
        .. from file in files
           from used in UsedBy(file).Distinct(StringComparer.Ordinal)
           where !MayUse(RoomOf(file), used)
           select $"{file.Path} uses {used}",
    ];

    /// <summary>Files whose namespace is not that of their folder.</summary>
    public static IReadOnlyList<string> Misnamed(IEnumerable<SourceFile> files) =>
        [.. files.Where(
            f => !f.Text.Contains($"\nnamespace {NamespaceOf(f)};", StringComparison.Ordinal)
            && !f.Text.StartsWith($"namespace {NamespaceOf(f)};", StringComparison.Ordinal)).Select(f => f.Path)];

    /// <summary>Folders with more files than are allowed.</summary>
    public static IReadOnlyList<string> TooFull(IEnumerable<SourceFile> files) =>
        [.. files.GroupBy(f => Path.GetDirectoryName(f.Path)!, StringComparer.Ordinal).Where(g => g.Count() > MostFiles).Select(g => g.Key)];

    private static bool MayUse(string room, string used)
    {
        if (room == used || (room == Front && used == Checks)) return true;
        if (room is Data or Checks || used == Checks) return false;
        return Array.IndexOf(Order, used) is var at && at >= 0 && at < Array.IndexOf(Order, room);
    }

    private static IEnumerable<string> UsedBy(SourceFile file)
    {
        var code = Comments().Replace(file.Text, "");
        foreach (Match room in RoomsNamed().Matches(code)) yield return room.Groups["room"].Value;
        if (RoomOf(file) != Front
            && Array.Exists(Fronts, f => Regex.IsMatch(code, $@"\b{f}\.\w", RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(1)))) yield return Front;
    }

    private static string RoomOf(SourceFile file) => file.Path[(Folder.Length + 1)..].Split('/') switch
    {
        [var room, _] => room,
        [var name] => Fronts.Contains(Path.GetFileNameWithoutExtension(name), StringComparer.Ordinal) ? Front : Data,
        _ => throw new ArgumentOutOfRangeException(nameof(file), file.Path, "Rooms have no rooms in them."),
    };

    private static string NamespaceOf(SourceFile file) =>
        $"KilnShare.Core.{Path.GetDirectoryName(file.Path)!["src/KilnShare.Core/".Length..].Replace('/', '.')}";

    [GeneratedRegex(
        @"\bLoading\.(?<room>Geometry|Kernel|Overlap|Shelves|Levels|Search|Finishing|Series|Checks)\b",
        RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, 1000)]
    private static partial Regex RoomsNamed();

    [GeneratedRegex(@"//[^\n]*|(?m:^namespace [^\n]*$)", RegexOptions.CultureInvariant, 1000)]
    private static partial Regex Comments();
}
