using KilnShare.Api.Hosting;

namespace KilnShare.Api.Tests.Common;

/// <summary>A copy of Debian's PostgreSQL programs whose libraries a test may change under the running server, as an upgrade of the package does.</summary>
internal sealed class CopiedPrograms
{
    private readonly string libraries;

    /// <summary>Lays the copy out as Debian does: the server finds its files from where it is itself.</summary>
    /// <param name="folder">Where.</param>
    public CopiedPrograms(string folder)
    {
        var bin = Path.GetDirectoryName(PostgresPrograms.For(null).Path("postgres"))!;
        var version = Path.GetFileName(Path.GetDirectoryName(bin))!;
        var home = Path.Combine(folder, "lib", "postgresql", version);
        libraries = Path.Combine(home, "lib");
        Directory.CreateDirectory(Path.Combine(home, "bin"));
        foreach (var program in new[] { "postgres", "initdb" }) File.Copy(Path.Combine(bin, program), Path.Combine(home, "bin", program));
        Directory.CreateDirectory(libraries);
        foreach (var library in Directory.GetFiles(Path.Combine(bin, "..", "lib"), "*.so"))
            File.Copy(library, Path.Combine(libraries, Path.GetFileName(library)));
        Directory.CreateDirectory(Path.Combine(folder, "share", "postgresql"));
        File.CreateSymbolicLink(Path.Combine(folder, "share", "postgresql", version), Path.Combine("/usr/share/postgresql", version));
        Programs = new PostgresPrograms(Path.Combine(home, "bin"));
    }

    /// <summary>The programs.</summary>
    public PostgresPrograms Programs { get; }

    /// <summary>Puts files that the running server cannot use where its libraries were.</summary>
    public void Upgrade()
    {
        foreach (var library in Directory.GetFiles(libraries))
        {
            File.WriteAllText(library + ".new", "of another version");
            File.Move(library + ".new", library, overwrite: true);
        }
    }
}
