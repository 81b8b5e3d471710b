namespace KilnShare.Api.Tests.Document;

/// <summary>A file in the repository that a test can write anew.</summary>
internal static class CommittedFile
{
    /// <summary>Fails where the file says something else, or writes it where KILNSHARE_RENEW is 1.</summary>
    public static void Compare(string path, string now)
    {
        var file = Path.Combine(Root, path);
        if (Environment.GetEnvironmentVariable("KILNSHARE_RENEW") == "1")
        {
            Directory.CreateDirectory(Path.GetDirectoryName(file)!);
            File.WriteAllText(file, now);
            return;
        }

        Assert.True(File.Exists(file),
            $"{path} is missing. Write it with: KILNSHARE_RENEW=1 dotnet test tests/KilnShare.Api.Tests --filter FullyQualifiedName~Document, and commit it.");
        var committed = File.ReadAllText(file);
        var (old, fresh) = (committed.Split('\n'), now.Split('\n'));
        var first = Enumerable.Range(0, Math.Min(old.Length, fresh.Length)).FirstOrDefault(i => old[i] != fresh[i], Math.Min(old.Length, fresh.Length));
        Assert.True(
            string.Equals(committed, now, StringComparison.Ordinal),
            $"{path} is out of date from line {first + 1}: committed \"{old.ElementAtOrDefault(first)?.Trim()}\", now "
                + $"\"{fresh.ElementAtOrDefault(first)?.Trim()}\". "
            + "If the change is meant, renew it with: KILNSHARE_RENEW=1 dotnet test tests/KilnShare.Api.Tests --filter FullyQualifiedName~Document, read the "
                + "difference, and commit it.");
    }

    /// <summary>The checkout.</summary>
    public static string Root { get; } = Find();

    private static string Find()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(folder.FullName, "KilnShare.sln")))
            folder = folder.Parent ?? throw new InvalidOperationException("The tests do not run in a checkout.");
        return folder.FullName;
    }
}
