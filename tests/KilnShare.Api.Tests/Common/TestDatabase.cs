using KilnShare.Api.Hosting;
using KilnShare.Storage.Setup;
using Microsoft.Extensions.Logging.Abstractions;
using Npgsql;
using Testcontainers.PostgreSql;

[assembly: AssemblyFixture(typeof(KilnShare.Api.Tests.Common.TestDatabase))]

namespace KilnShare.Api.Tests.Common;

/// <summary>
/// One PostgreSQL for the whole assembly with a migrated template; each class takes a clone of it. It is the server named by
/// KILNSHARE_TEST_POSTGRES, else a container where KILNSHARE_TEST_ENGINE says so (tests/run.sh looks whether one can be had), else a private cluster.
/// </summary>
public sealed class TestDatabase : IAsyncLifetime
{
    private const string Template = "kilnshare_template";
    private readonly string folder = Path.Combine(
        Environment.GetEnvironmentVariable("KILNSHARE_TEST_FOLDER") ?? Path.GetTempPath(), "kilnshare-tests-" + Environment.ProcessId);
    private readonly SemaphoreSlim cloning = new(1);
    private PrivateCluster? cluster;
    private PostgreSqlContainer? container;
    private int clones;

    /// <summary>True where the tests run against a container.</summary>
    public static bool IsContainer => Environment.GetEnvironmentVariable("KILNSHARE_TEST_ENGINE") == "container";

    /// <summary>A login that may make databases.</summary>
    public string Admin { get; private set; } = "";

    public async ValueTask InitializeAsync()
    {
        var cancellation = TestContext.Current.CancellationToken;
        if (Environment.GetEnvironmentVariable("KILNSHARE_TEST_POSTGRES") is { Length: > 0 } outside)
        {
            Admin = outside;
        }
        else if (IsContainer)
        {
            container = PostgresContainer.Make();
            await container.StartAsync(cancellation);
            Admin = container.GetConnectionString();
        }
        else
        {
            cluster = new PrivateCluster(folder, NullLogger.Instance);
            await cluster.Start(cancellation);
            Admin = cluster.AdminConnection;
        }

        await DatabaseSetup.CreateDatabase(Admin, Template, cancellation);
        await DatabaseSetup.Migrate(LinksTo(Template), cancellation);
    }

    public async ValueTask DisposeAsync()
    {
        NpgsqlConnection.ClearAllPools();
        if (container is not null) await container.DisposeAsync();
        if (cluster is not null)
        {
            await cluster.DisposeAsync();
            Directory.Delete(folder, recursive: true);
        }

        cloning.Dispose();
    }

    /// <summary>A database of its own, with all tables and no rows.</summary>
    public Task<DatabaseLinks> Clone() => Make(Template);

    /// <summary>A database of its own with nothing in it, not even tables.</summary>
    public Task<DatabaseLinks> Empty() => Make("template0");

    /// <summary>What a program of the container printed; null where the server stands in none.</summary>
    public async Task<string?> InContainer(IList<string> command)
    {
        if (container is null) return null;
        var done = await container.ExecAsync(command, TestContext.Current.CancellationToken);
        Assert.True(done.ExitCode == 0, done.Stderr);
        return done.Stdout;
    }

    private async Task<DatabaseLinks> Make(string template)
    {
        await cloning.WaitAsync(TestContext.Current.CancellationToken);
        try
        {
            var name = $"kilnshare_test_{Environment.ProcessId}_{++clones}";
            await using var admin = new NpgsqlConnection(Admin + ";Pooling=false");
            await admin.OpenAsync(TestContext.Current.CancellationToken);
            await using var create = new NpgsqlCommand($"create database {name} template {template} owner {DatabaseLinks.OwnerRole}", admin);
            await create.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
            return LinksTo(name);
        }
        finally
        {
            cloning.Release();
        }
    }

    private DatabaseLinks LinksTo(string database) => new(
        new NpgsqlConnectionStringBuilder(Admin) { Database = database }.ConnectionString, cluster is null ? "test secret"u8.ToArray() : null);
}
