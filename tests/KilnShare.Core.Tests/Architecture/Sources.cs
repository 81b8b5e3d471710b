namespace KilnShare.Core.Tests.Architecture;

/// <summary>A source file of the checkout.</summary>
/// <param name="Path">From the checkout's root, with slashes.</param>
/// <param name="Text">What is in it.</param>
internal sealed record SourceFile(string Path, string Text);

/// <summary>The source files of this checkout, without what tools write.</summary>
internal static class Sources
{
    /// <summary>The checkout's root.</summary>
    public static string Root { get; } = FindRoot();

    /// <summary>Every C# file under a folder of the checkout.</summary>
    public static IReadOnlyList<SourceFile> Under(string folder) =>
    [
        .. Directory.EnumerateFiles(System.IO.Path.Combine(Root, folder), "*.cs", SearchOption.AllDirectories)
            .Select(path => new SourceFile(System.IO.Path.GetRelativePath(Root, path).Replace('\\', '/'), File.ReadAllText(path)))
            .Where(f => !f.Path.Contains("/obj/", StringComparison.Ordinal) && !f.Path.Contains("/Migrations/", StringComparison.Ordinal))
            .OrderBy(f => f.Path, StringComparer.Ordinal),
    ];

    /// <summary>The text of a file of the checkout.</summary>
    public static string Read(string path) => File.ReadAllText(System.IO.Path.Combine(Root, path));

    private static string FindRoot()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(System.IO.Path.Combine(folder.FullName, "KilnShare.sln"))) folder = folder.Parent;
        return folder?.FullName ?? throw new InvalidOperationException("The tests do not run inside a checkout.");
    }
}
