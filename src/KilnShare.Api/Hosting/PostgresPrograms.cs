using System.Diagnostics;
using System.Globalization;

namespace KilnShare.Api.Hosting;

/// <summary>
/// Where the PostgreSQL server programs are on this machine: those of the version that wrote the data, else the newest of Debian's, else on the PATH.
/// </summary>
/// <param name="folder">The folder of the programs.</param>
public sealed class PostgresPrograms(string folder)
{
    private const int OldestVersion = 15;

    /// <summary>The programs for data that this version wrote; null: for new data.</summary>
    /// <exception cref="InvalidOperationException">There are none.</exception>
    public static PostgresPrograms For(string? written) => new(Find(written?.Trim()));

    /// <summary>The full path of a program.</summary>
    public string Path(string program) => System.IO.Path.Combine(folder, program);

    /// <summary>Refuses data written by another major version, and versions too old.</summary>
    /// <exception cref="InvalidOperationException">They do not fit; the message says what to do.</exception>
    public async Task CheckVersion(string written, CancellationToken cancellation)
    {
        using var process = Process.Start(new ProcessStartInfo(Path("postgres"), ["--version"]) { RedirectStandardOutput = true, UseShellExecute = false })!;
        var words = (await process.StandardOutput.ReadToEndAsync(cancellation)).Split(' ');
        await process.WaitForExitAsync(cancellation);
        var have = words.First(w => char.IsAsciiDigit(w[0])).Split('.')[0].Trim();
        if (int.Parse(have, CultureInfo.InvariantCulture) < OldestVersion)
            throw new InvalidOperationException($"PostgreSQL {have} is too old: {OldestVersion} or later is needed.");
        if (have != written.Trim())
            throw new InvalidOperationException(
                $"The data folder was written by PostgreSQL {written.Trim()}, the programs here are version {have}. Install that version, or upgrade the "
                    + $"data with pg_upgrade.");
    }

    private static string Find(string? written)
    {
        var onPath = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(':', StringSplitOptions.RemoveEmptyEntries);
        var debian = Directory.Exists("/usr/lib/postgresql")
            ? Directory.GetDirectories("/usr/lib/postgresql")
                .OrderByDescending(d => System.IO.Path.GetFileName(d) == written)
                .ThenByDescending(d => decimal.TryParse(System.IO.Path.GetFileName(d), CultureInfo.InvariantCulture, out var v) ? v : 0)
                .Select(d => System.IO.Path.Combine(d, "bin"))
            : [];
        return debian.Concat(onPath).FirstOrDefault(d => File.Exists(System.IO.Path.Combine(d, "initdb")) && File.Exists(System.IO.Path.Combine(d, "postgres")))
            ?? throw new InvalidOperationException(
                "No PostgreSQL server programs found. Install the package postgresql, or set KILNSHARE_DATABASE to a server of yours.");
    }
}
