namespace KilnShare.Storage.Common;

/// <summary>SQL that stands in a file of its own beside the code.</summary>
public static class SqlFile
{
    private const string Folder = "KilnShare.Storage.Sql.";

    /// <summary>The names of the files that begin like this, in their order.</summary>
    public static IReadOnlyList<string> Named(string beginning) =>
    [
        .. typeof(SqlFile).Assembly.GetManifestResourceNames().Where(n => n.StartsWith(Folder + beginning, StringComparison.Ordinal))
            .Select(n => n[Folder.Length..^".sql".Length]).Order(StringComparer.Ordinal),
    ];

    /// <summary>The text of <c>Sql/name.sql</c>.</summary>
    public static string Read(string name)
    {
        using var stream = typeof(SqlFile).Assembly.GetManifestResourceStream($"{Folder}{name}.sql")
            ?? throw new InvalidOperationException($"There is no SQL file {name}.");
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }
}
