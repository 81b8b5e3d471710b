using System.Diagnostics;
using System.Security.Cryptography;
using KilnShare.Api.Common;
using KilnShare.Storage;
using KilnShare.Storage.Setup;
using Npgsql;

namespace KilnShare.Api.Hosting;

/// <summary>The pools of connections, made once the database stands.</summary>
public sealed class Databases
{
    private NpgsqlDataSource? app;
    private NpgsqlDataSource? worker;
    private NpgsqlDataSource? alone;

    /// <summary>The serving role's pool.</summary>
    /// <exception cref="InvalidOperationException">The database does not stand yet.</exception>
    public NpgsqlDataSource App => app ?? throw new InvalidOperationException("The database is not ready.");

    /// <summary>The worker role's pool; null where no jobs are done.</summary>
    public NpgsqlDataSource? Worker => worker;

    /// <summary>The serving role's connections outside the pool: each is a session that has just begun.</summary>
    /// <exception cref="InvalidOperationException">The database does not stand yet.</exception>
    public NpgsqlDataSource Alone => alone ?? throw new InvalidOperationException("The database is not ready.");

    /// <summary>True once the private PostgreSQL was given up: the program ends, and not well.</summary>
    public bool IsGivenUp { get; set; }

    /// <summary>Opens the pools.</summary>
    public void Connect(string appConnection, string? workerConnection)
    {
        app = KilnShareDb.Connect(appConnection);
        alone = KilnShareDb.Connect(new NpgsqlConnectionStringBuilder(appConnection) { Pooling = false, MaxAutoPrepare = 0 }.ConnectionString);
        worker = workerConnection is null ? null : KilnShareDb.Connect(workerConnection);
    }

    /// <summary>
    /// Drops the pooled connections where an error says that they lead to a node that takes no writes: the next ones look for the leader anew.
    /// </summary>
    public void Heed(Exception error)
    {
        if (!Postgres.IsReadOnly(error)) return;
        app?.Clear();
        worker?.Clear();
    }

    /// <summary>Closes the pools.</summary>
    public async Task Close()
    {
        if (app is not null) await app.DisposeAsync();
        if (worker is not null) await worker.DisposeAsync();
        if (alone is not null) await alone.DisposeAsync();
    }
}

/// <summary>Sees to the database before the first request and after the last one.</summary>
public sealed class DatabaseHost(ServiceSettings settings, Databases databases, IHostApplicationLifetime program, ILogger<DatabaseHost> log)
    : IHostedLifecycleService
{
    /// <summary>The argument with which the program sets the database up and ends.</summary>
    public const string MigrateArgument = "--migrate";

    private const string DatabaseName = "kilnshare";
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);
    private readonly CancellationTokenSource stopping = new();
    private PrivateCluster? cluster;
    private Task keeping = Task.CompletedTask;

    /// <inheritdoc/>
    public async Task StartingAsync(CancellationToken cancellationToken)
    {
        if (settings.AppConnection is { } ready)
        {
            await CheckSession(ready, cancellationToken);
            await DatabaseSetup.CheckTables(ready, cancellationToken);
            databases.Connect(ready, settings.WorkerConnection);
            return;
        }

        var links = settings.Database is { } outside
            ? new DatabaseLinks(outside, await Secret(cancellationToken))
            : await StartCluster(cancellationToken);
        if (settings.MaySetUp) await DatabaseSetup.Migrate(links, cancellationToken);
        else await DatabaseSetup.CheckTables(links.App, cancellationToken);
        await DatabaseSetup.CheckDurable(links.App, cancellationToken);
        await CheckSession(links.App, cancellationToken);
        databases.Connect(links.App, links.Worker);
        log.LogInformation("The database is ready");
    }

    /// <summary>Brings the database up to date and leaves it: afterwards a service can do without the login that may do so.</summary>
    public static async Task Migrate(IServiceProvider services, CancellationToken cancellation)
    {
        var host = ActivatorUtilities.CreateInstance<DatabaseHost>(services);
        try
        {
            await host.StartingAsync(cancellation);
        }
        finally
        {
            await host.StoppedAsync(cancellation);
        }
    }

    /// <inheritdoc/>
    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public Task StartedAsync(CancellationToken cancellationToken)
    {
        if (cluster is not null) keeping = Keep(cluster);
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    public Task StoppingAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public async Task StoppedAsync(CancellationToken cancellationToken)
    {
        await stopping.CancelAsync();
        await keeping;
        await databases.Close();
        if (cluster is not null) await cluster.DisposeAsync();
    }

    /// <summary>Starts the private PostgreSQL again when it dies, and ends the program where that does not help, so that its supervisor acts.</summary>
    private async Task Keep(PrivateCluster dying)
    {
        try
        {
            await new ClusterKeeper(dying, log).Keep(stopping.Token);
        }
        catch (OperationCanceledException)
        {
            // the service stops
        }
        catch (InvalidOperationException e)
        {
            log.LogCritical(e, "The service ends: {Reason}", e.Message);
            databases.IsGivenUp = true;
            program.StopApplication();
        }
    }

    /// <summary>Refuses a pooler that changes sessions; waits for a database that is on its way.</summary>
    private async Task CheckSession(string connection, CancellationToken cancellation)
    {
        for (var waited = Stopwatch.StartNew(); ; await Task.Delay(1000, cancellation))
        {
            try
            {
                await SessionCheck.Run(connection, cancellation);
                return;
            }
            catch (NpgsqlException e) when (waited.Elapsed < Patience)
            {
                log.LogWarning("The database cannot be reached yet: {Reason}", Health.ReasonOf(e));
            }
        }
    }

    private async Task<DatabaseLinks> StartCluster(CancellationToken cancellation)
    {
        cluster = new PrivateCluster(settings.DataFolder!, log);
        await cluster.Start(cancellation);
        await DatabaseSetup.CreateDatabase(cluster.AdminConnection, DatabaseName, cancellation);
        return new DatabaseLinks(new NpgsqlConnectionStringBuilder(cluster.AdminConnection) { Database = DatabaseName }.ConnectionString, null);
    }

    /// <summary>The secret that the roles' passwords on an outside server are made from, kept in the data folder.</summary>
    private async Task<byte[]> Secret(CancellationToken cancellation)
    {
        var path = Path.Combine(settings.DataFolder!, "database-secret");
        Directory.CreateDirectory(settings.DataFolder!);
        if (!File.Exists(path))
        {
            if (!settings.MaySetUp)
                throw new InvalidOperationException(
                    $"{path} is missing: the passwords of the service's roles are made from it. Run the program once with {MigrateArgument}, a login that "
                        + $"may create roles and the same KILNSHARE_DATA, then start again.");
            await using var file = new FileStream(path, new FileStreamOptions
            {
                Mode = FileMode.CreateNew,
                Access = FileAccess.Write,
                UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite,
            });
            await file.WriteAsync(RandomNumberGenerator.GetBytes(32), cancellation);
        }

        return await File.ReadAllBytesAsync(path, cancellation);
    }
}
