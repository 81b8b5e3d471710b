using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using KilnShare.Api.Tests.Common;
using KilnShare.Storage.Setup;
using Npgsql;

namespace KilnShare.Api.Tests.Hosting;

/// <summary>Behind a pooler that changes sessions between transactions one studio would see another's things: the service does not start there.</summary>
public sealed class PoolerTests(TestDatabase database)
{
    private const string PassOn = "ignore_startup_parameters = options,extra_float_digits";

    [Fact]
    public async Task A_pooler_that_gives_each_transaction_another_session_is_refused_at_the_start()
    {
        await using var service = new Service(database) { IsFaulted = true };
        await service.InitializeAsync();
        await using var pooler = await Pooler.Start(service.Links, "pool_mode = transaction", PassOn, "default_pool_size = 4");
        await using var behind = service.WithWebHostBuilder(host => host.UseSetting("KILNSHARE_DATABASE_APP", pooler.Link));
        // The program ends before it serves: the host is gone by then, and what the check said is asked of the check itself.
        Assert.ThrowsAny<Exception>(behind.CreateClient);
        for (var again = 0; again < 20; again++)
        {
            var refused = await Assert.ThrowsAsync<InvalidOperationException>(() => SessionCheck.Run(pooler.Link, TestContext.Current.CancellationToken));
            Assert.Contains("another's things", refused.Message, StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData("pool_mode = transaction", "default_pool_size = 1")]
    [InlineData("pool_mode = transaction", "server_round_robin = 1")]
    public async Task It_is_refused_however_few_sessions_it_has_and_however_it_shares_them(string mode, string more)
    {
        var links = await database.Clone();
        await using var pooler = await Pooler.Start(links, mode, more, PassOn);
        await Assert.ThrowsAsync<InvalidOperationException>(() => SessionCheck.Run(pooler.Link, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task A_pooler_that_does_not_pass_on_how_long_a_statement_may_take_is_refused_by_a_sentence()
    {
        var links = await database.Clone();
        await using var pooler = await Pooler.Start(links, "pool_mode = session");
        var refused = await Assert.ThrowsAsync<InvalidOperationException>(() => SessionCheck.Run(pooler.Link, TestContext.Current.CancellationToken));
        Assert.Contains("start-up parameter", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task In_session_mode_the_service_starts_and_serves()
    {
        await using var service = new Service(database);
        await service.InitializeAsync();
        await using var pooler = await Pooler.Start(service.Links, "pool_mode = session", PassOn);
        await using var behind = service.WithWebHostBuilder(host => host.UseSetting("KILNSHARE_DATABASE_APP", pooler.Link));
        var studio = await service.MakeStudio();
        var owner = new Caller(behind.CreateClient(), studio.Owner.Token);
        (await owner.Post(studio.Path + "/payments", new { memberId = studio.PotterId, kind = "payment", amountMinor = 100, reason = "cash" }))
            .Expect(HttpStatusCode.Created);
        (await owner.Get("/health/ready")).Expect(HttpStatusCode.OK);
    }

    [Fact]
    public async Task Without_a_pooler_nothing_is_refused_while_others_work() =>
        await Task.WhenAll(
            Enumerable.Range(0, 20).Select(async _ => await SessionCheck.Run((await database.Clone()).App, TestContext.Current.CancellationToken)));

    /// <summary>PgBouncer before a database, as one who sets it up would.</summary>
    private sealed class Pooler(Process process, string folder, string link) : IAsyncDisposable
    {
        /// <summary>How the serving role connects through it.</summary>
        public string Link => link;

        public static async Task<Pooler> Start(DatabaseLinks links, params string[] settings)
        {
            var (folder, port) = (OwnCluster.NewFolder(), FreePort());
            var to = new NpgsqlConnectionStringBuilder(links.App);
            await File.WriteAllTextAsync(Path.Combine(folder, "users"), $"\"{to.Username}\" \"{to.Password}\"\n", TestContext.Current.CancellationToken);
            string[] lines =
            [
                "[databases]", string.Create(CultureInfo.InvariantCulture, $"* = host={to.Host} port={to.Port}"),
                "[pgbouncer]", "listen_addr = 127.0.0.1", string.Create(CultureInfo.InvariantCulture, $"listen_port = {port}"), "unix_socket_dir =",
                    "auth_type = trust", $"auth_file = {folder}/users", .. settings,
            ];
            await File.WriteAllLinesAsync(Path.Combine(folder, "pooler.ini"), lines, TestContext.Current.CancellationToken);
            var program = new[] { "/usr/sbin/pgbouncer", "/usr/bin/pgbouncer" }.FirstOrDefault(File.Exists);
            Assert.True(program is not null, "This test needs PgBouncer: tests/run.sh installs it as root, or install the package pgbouncer.");
            var start = new ProcessStartInfo(program, [Path.Combine(folder, "pooler.ini")])
            {
                UseShellExecute = false,
                RedirectStandardError = true,
                RedirectStandardOutput = true,
                WorkingDirectory = "/"
            };
            if (Environment.IsPrivilegedProcess) start.UserName = "postgres"; // it refuses to be root, as PostgreSQL does
            var process = Process.Start(start)!;
            process.BeginErrorReadLine();
            process.BeginOutputReadLine();
            for (var waited = Stopwatch.StartNew(); ; await Task.Delay(20, TestContext.Current.CancellationToken))
            {
                try
                {
                    using var probe = new TcpClient();
                    await probe.ConnectAsync(IPAddress.Loopback, port, TestContext.Current.CancellationToken);
                    break;
                }
                catch (SocketException) when (waited.Elapsed < TimeSpan.FromSeconds(20) && !process.HasExited)
                {
                    // it does not listen yet
                }
            }

            return new Pooler(process, folder, new NpgsqlConnectionStringBuilder(
                links.App)
            { Host = "127.0.0.1", Port = port, GssEncryptionMode = GssEncryptionMode.Disable }.ConnectionString);
        }

        public async ValueTask DisposeAsync()
        {
            process.Kill();
            await process.WaitForExitAsync(CancellationToken.None);
            process.Dispose();
            Directory.Delete(folder, recursive: true);
        }

        private static int FreePort()
        {
            using var listener = new TcpListener(IPAddress.Loopback, 0);
            listener.Start();
            return ((IPEndPoint)listener.LocalEndpoint).Port;
        }
    }
}
