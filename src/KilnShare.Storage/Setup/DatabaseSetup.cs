using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Npgsql;

namespace KilnShare.Storage.Setup;

/// <summary>Makes roles, database and tables, and refuses a server that could lose what it acknowledged.</summary>
public static class DatabaseSetup
{
    private const long MigrationLock = 0x4B49_4C4E; // any number of our own

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
        await using (var wait = new NpgsqlCommand("select pg_advisory_lock($1)", admin) { Parameters = { new() { Value = MigrationLock } }, CommandTimeout = 120 })
            await wait.ExecuteNonQueryAsync(cancellation);
        await Run(admin, SqlFile.Read("roles"), cancellation);
        foreach (var role in new[] { DatabaseLinks.AppRole, DatabaseLinks.WorkerRole, DatabaseLinks.AuditRole })
        {
            if (links.PasswordOf(role) is { } password) await Run(admin, $"alter role {role} password '{password}'", cancellation);
        }

        await Run(admin, $"grant {DatabaseLinks.OwnerRole} to current_user; do $$ begin execute format('grant create, connect on database %I to {DatabaseLinks.OwnerRole}', current_database()); end $$; grant create, usage on schema public to {DatabaseLinks.OwnerRole}", cancellation);
        await using var source = KilnShareDb.Connect(links.Owner);
        var options = new DbContextOptionsBuilder<KilnShareDb>();
        KilnShareDb.Configure(options, source);
        // What migrating needs is let go afterwards, and a test compares the migrations with the model (measured: 16 MiB at the peak, 3 at rest).
        options.EnableServiceProviderCaching(false).ConfigureWarnings(w => w.Ignore(RelationalEventId.PendingModelChangesWarning));
        await using var db = new KilnShareDb(options.Options);
        await db.Database.MigrateAsync(cancellation);
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
                throw new InvalidOperationException($"PostgreSQL runs with {setting} = off: a crash could lose bookings and money. Switch it on and start again.");
        }
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
