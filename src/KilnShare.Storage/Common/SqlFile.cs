namespace KilnShare.Storage.Common;

/// <summary>SQL that stands in a file of its own beside the code.</summary>
public static class SqlFile
{
    /// <summary>The text of <c>Sql/name.sql</c>.</summary>
    public static string Read(string name)
    {
        using var stream = typeof(SqlFile).Assembly.GetManifestResourceStream($"KilnShare.Storage.Sql.{name}.sql")
            ?? throw new InvalidOperationException($"There is no SQL file {name}.");
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }
}
