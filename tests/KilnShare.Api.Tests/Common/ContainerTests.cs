using KilnShare.Storage.Setup;
using Npgsql;

namespace KilnShare.Api.Tests.Common;

/// <summary>What only a real container can show; not run where the tests stand on the private cluster.</summary>
public sealed class ContainerTests(TestDatabase database)
{
    private static void NeedsContainer() => Assert.SkipUnless(TestDatabase.IsContainer, "no container engine in this run (see the first line of tests/run.sh)");

    [Fact]
    public async Task The_tests_stand_on_a_server_in_a_container_of_version_15_or_later()
    {
        NeedsContainer();
        await using var connection = new NpgsqlConnection(database.Admin + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        Assert.True(connection.PostgreSqlVersion.Major >= 15, $"PostgreSQL {connection.PostgreSqlVersion}");
        await using var address = new NpgsqlCommand("select host(inet_server_addr()) || ' ' || current_setting('data_directory')", connection);
        var where = (string?)await address.ExecuteScalarAsync(TestContext.Current.CancellationToken);
        Assert.NotNull(where); // a Unix socket, as the private cluster has, shows no address
        Assert.DoesNotContain("127.0.0.1", where, StringComparison.Ordinal);
        Assert.EndsWith("/var/lib/postgresql/data", where, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_role_without_its_password_is_not_let_in()
    {
        NeedsContainer();
        var links = await database.Clone();
        await using (var good = new NpgsqlConnection(links.App + ";Pooling=false")) await good.OpenAsync(TestContext.Current.CancellationToken);
        await using var bad = new NpgsqlConnection(new NpgsqlConnectionStringBuilder(links.App) { Password = "wrong", Pooling = false }.ConnectionString);
        var refused = await Assert.ThrowsAsync<PostgresException>(() => bad.OpenAsync(TestContext.Current.CancellationToken));
        Assert.Equal(PostgresErrorCodes.InvalidPassword, refused.SqlState);
    }

    [Fact]
    public async Task A_server_that_could_lose_what_it_acknowledged_is_refused_by_the_name_of_its_setting()
    {
        NeedsContainer();
        var refused = await Assert.ThrowsAsync<InvalidOperationException>(
            () => DatabaseSetup.CheckDurable(database.Admin, TestContext.Current.CancellationToken));
        Assert.Contains("fsync = off", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_server_with_its_safe_settings_on_is_good_enough_and_takes_the_tables()
    {
        NeedsContainer();
        var cancellation = TestContext.Current.CancellationToken;
        await using var container = PostgresContainer.Make("-c", "fsync=on", "-c", "synchronous_commit=on", "-c", "full_page_writes=on");
        await container.StartAsync(cancellation);
        await DatabaseSetup.CheckDurable(container.GetConnectionString(), cancellation);
        await DatabaseSetup.CreateDatabase(container.GetConnectionString(), "kilnshare", cancellation);
        await DatabaseSetup.Migrate(
            new DatabaseLinks(new NpgsqlConnectionStringBuilder(
                container.GetConnectionString())
            { Database = "kilnshare" }.ConnectionString, "secret"u8.ToArray()), cancellation);
    }
}
