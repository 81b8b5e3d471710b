using System.Reflection;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Microsoft.EntityFrameworkCore.Migrations;
using Npgsql;

namespace KilnShare.Storage.Setup;

/// <summary>Makes roles, database and tables, and refuses a server that could lose what it acknowledged.</summary>
public static class DatabaseSetup
{
    private const long MigrationLock = 0x4B49_4C4E; // any number of our own

    // Asked of the program itself: EF's own answer builds a model for it.
    private static readonly IReadOnlyList<string> Known =
        [.. typeof(DatabaseSetup).Assembly.GetTypes().Select(t => t.GetCustomAttribute<MigrationAttribute>()?.Id).OfType<string>()
            .Order(StringComparer.Ordinal)];

    /// <summary>Makes the database if the cluster lacks it.</summary>
    public static async Task CreateDatabase(string adminConnection, string name, CancellationToken cancellation)
    {
        await using var admin = await Open(adminConnection, cancellation);
        await Run(admin, SqlFile.Read("roles"), cancellation);
        await using var exists = new NpgsqlCommand("select 1 from pg_database where datname = $1", admin) { Parameters = { new() { Value = name } } };
        if (await exists.ExecuteScalarAsync(cancellation) is null)
            await Run(admin, $"create database {name} owner {DatabaseLinks.OwnerRole}", cancellation);
    }

    /// <summary>Makes the roles and brings the tables up to date, as their owner. Several services may do so at once.</summary>
    public static async Task Migrate(DatabaseLinks links, CancellationToken cancellation)
    {
        await using var admin = await Open(links.Admin, cancellation);
        await using (var wait = new NpgsqlCommand(
            "select pg_advisory_lock($1)", admin)
        { Parameters = { new() { Value = MigrationLock } }, CommandTimeout = 120 })
            await wait.ExecuteNonQueryAsync(cancellation);
        RefuseNewer(await Applied(admin, cancellation));
        await Run(admin, SqlFile.Read("roles"), cancellation);
        foreach (var role in new[] { DatabaseLinks.AppRole, DatabaseLinks.WorkerRole, DatabaseLinks.AuditRole })
        {
            if (links.PasswordOf(role) is { } password) await Run(admin, $"alter role {role} password '{password}'", cancellation);
        }

        await Run(admin,
            $"grant {DatabaseLinks.OwnerRole} to current_user; do $$ begin execute format('grant create, connect on database %I to "
                + $"{DatabaseLinks.OwnerRole}', current_database()); end $$; grant create, usage on schema public to {DatabaseLinks.OwnerRole}", cancellation);
        await using var source = KilnShareDb.Connect(links.Owner);
        var options = new DbContextOptionsBuilder<KilnShareDb>();
        KilnShareDb.Configure(options, source);
        // What migrating needs is let go afterwards, and a test compares the migrations with the model (measured: 16 MiB at the peak, 3 at rest).
        options.EnableServiceProviderCaching(false).ConfigureWarnings(w => w.Ignore(RelationalEventId.PendingModelChangesWarning));
        await using var db = new KilnShareDb(options.Options);
        await db.Database.MigrateAsync(cancellation);
    }

    /// <summary>Refuses tables that are not those of this program, for a service that may not change them.</summary>
    /// <exception cref="InvalidOperationException">They are newer, older or not there; the message says what to do.</exception>
    public static async Task CheckTables(string connection, CancellationToken cancellation)
    {
        await using var open = await Open(connection, cancellation);
        var applied = await Applied(open, cancellation);
        RefuseNewer(applied);
        if (Known.Except(applied, StringComparer.Ordinal).FirstOrDefault() is { } missing)
            throw new InvalidOperationException(
                $"The tables in the database lack {missing}, which this program needs, and this service may not change them. Run the program once with "
                    + $"--migrate and a login that may create roles, then start again.");
    }

    /// <summary>Refuses a server set up so that a crash could lose acknowledged writes.</summary>
    /// <exception cref="InvalidOperationException">A setting is off; the message names it.</exception>
    public static async Task CheckDurable(string connection, CancellationToken cancellation)
    {
        await using var open = await Open(connection, cancellation);
        foreach (var setting in new[] { "fsync", "full_page_writes", "synchronous_commit" })
        {
            await using var show = new NpgsqlCommand($"show {setting}", open);
            if (await show.ExecuteScalarAsync(cancellation) is "off")
                throw new InvalidOperationException(
                    $"PostgreSQL runs with {setting} = off: a crash could lose bookings and money. Switch it on and start again.");
        }
    }

    private static void RefuseNewer(IReadOnlyList<string> applied)
    {
        if (applied.Except(Known, StringComparer.Ordinal).LastOrDefault() is { } newer)
            throw new InvalidOperationException(
                $"A newer KilnShare has changed the tables in this database ({newer}), and this program, which knows them up to {Known[^1]}, would write "
                    + $"them wrongly. Start the newer program; to go back, restore a backup from before it was started (deploy/restore.sh).");
    }

    /// <summary>The migrations that a database has had, in their order; none where they are not to be seen.</summary>
    private static async Task<IReadOnlyList<string>> Applied(NpgsqlConnection connection, CancellationToken cancellation)
    {
        var names = new List<string>();
        try
        {
            await using var read = new NpgsqlCommand("select migration_id from \"__EFMigrationsHistory\" order by 1", connection);
            await using var row = await read.ExecuteReaderAsync(cancellation);
            while (await row.ReadAsync(cancellation)) names.Add(row.GetString(0));
        }
        catch (PostgresException e) when (e.SqlState is PostgresErrorCodes.UndefinedTable or PostgresErrorCodes.InsufficientPrivilege)
        {
            // before the first start, or before the serving role was let look
        }

        return names;
    }

    private static async Task<NpgsqlConnection> Open(string connectionString, CancellationToken cancellation)
    {
        var connection = new NpgsqlConnection(connectionString + ";Pooling=false");
        await connection.OpenAsync(cancellation);
        return connection;
    }

    private static async Task Run(NpgsqlConnection connection, string sql, CancellationToken cancellation)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync(cancellation);
    }
}
