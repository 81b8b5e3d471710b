using System.Globalization;
using KilnShare.Api.Hosting;
using KilnShare.Storage.Setup;
using Microsoft.Extensions.Logging.Abstractions;
using Npgsql;

namespace KilnShare.Api.Tests.Common;

/// <summary>A private cluster for one test, which may stop it, break it and start it again.</summary>
internal sealed class OwnCluster : IAsyncDisposable
{
    private static int made;

    private readonly PostgresPrograms? programs;

    private OwnCluster(string folder, PostgresPrograms? programs) => (Folder, this.programs) = (folder, programs);

    /// <summary>Its data folder.</summary>
    public string Folder { get; }

    /// <summary>The cluster.</summary>
    public PrivateCluster Cluster { get; private set; } = null!;

    /// <summary>How its database is reached.</summary>
    public DatabaseLinks Links { get; private set; } = null!;

    /// <summary>A folder that PostgreSQL's user can reach; it is the caller's to delete.</summary>
    public static string NewFolder() => Directory.CreateDirectory(
        Path.Combine(Environment.GetEnvironmentVariable("KILNSHARE_TEST_FOLDER")
            ?? Path.GetTempPath(), $"kilnshare-own-{Environment.ProcessId}-{Interlocked.Increment(ref made)}")).FullName;

    /// <summary>Makes one with all tables and no rows.</summary>
    /// <param name="programs">Programs of its own; null: those of the machine.</param>
    /// <param name="folder">Its folder, where there is one already.</param>
    public static async Task<OwnCluster> Start(PostgresPrograms? programs = null, string? folder = null)
    {
        var own = new OwnCluster(folder ?? NewFolder(), programs);
        await own.StartAgain();
        var cancellation = TestContext.Current.CancellationToken;
        await DatabaseSetup.CreateDatabase(own.Cluster.AdminConnection, "kilnshare", cancellation);
        own.Links = new DatabaseLinks(new NpgsqlConnectionStringBuilder(own.Cluster.AdminConnection) { Database = "kilnshare" }.ConnectionString, null);
        await DatabaseSetup.Migrate(own.Links, cancellation);
        return own;
    }

    /// <summary>Process ids of the server and all its sessions.</summary>
    public static IReadOnlyList<int> ProcessesOf(string folder)
    {
        var server = int.Parse(File.ReadLines(Path.Combine(folder, "pgdata", "postmaster.pid")).First(), CultureInfo.InvariantCulture);
        return [server, .. File.ReadAllText($"/proc/{server}/task/{server}/children").Split(' ', StringSplitOptions.RemoveEmptyEntries)
            .Select(pid => int.Parse(pid, CultureInfo.InvariantCulture))];
    }

    /// <summary>Stops the server.</summary>
    public ValueTask Stop() => Cluster.DisposeAsync();

    /// <summary>Starts the server over the same data.</summary>
    public Task StartAgain()
    {
        Cluster = new PrivateCluster(Folder, NullLogger.Instance, programs);
        return Cluster.Start(TestContext.Current.CancellationToken);
    }

    public async ValueTask DisposeAsync()
    {
        await Stop();
        Directory.Delete(Folder, recursive: true);
    }
}
