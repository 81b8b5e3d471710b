using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Document;
using KilnShare.Storage.Setup;
using Npgsql;

namespace KilnShare.Api.Tests.Hosting;

/// <summary>The program as its supervisor starts it, over a server of somebody's: set up once, then served without the login that may set up.</summary>
public sealed class StartTests(TestDatabase database) : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("kilnshare-start-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public async Task Tables_are_made_by_one_login_and_served_without_it()
    {
        var links = await database.Empty();
        var without = new NpgsqlConnectionStringBuilder(links.Admin) { Username = null, Password = null }.ConnectionString;
        var early = await Run(without);
        Assert.Equal(1, early.Code);
        Assert.Contains("--migrate", early.Words, StringComparison.Ordinal);

        await File.WriteAllBytesAsync(Path.Combine(folder, "database-secret"), links.Secret ?? [1], TestContext.Current.CancellationToken);
        early = await Run(without);
        Assert.Equal(1, early.Code);
        Assert.Contains("--migrate", early.Words, StringComparison.Ordinal);
        Assert.Equal(0, (await Run(links.Admin, DatabaseArgument)).Code);

        var port = FreePort();
        using var service = Start(without, "--urls", $"http://127.0.0.1:{port}");
        var words = service.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        try
        {
            await UntilReady(port, service, words);
            var logins = await Read(links.Admin,
                "select distinct usename from pg_stat_activity where datname = current_database() and pid <> pg_backend_pid() and usename is not null");
            Assert.NotEmpty(logins);
            Assert.Empty(logins.Except([DatabaseLinks.AppRole, DatabaseLinks.WorkerRole], StringComparer.Ordinal));
        }
        finally
        {
            service.Kill();
        }
    }

    [Fact]
    public async Task A_program_older_than_the_tables_says_so_and_ends()
    {
        var links = await database.Clone();
        await Read(links.Admin,
            "insert into \"__EFMigrationsHistory\" (migration_id, product_version) values ('29990101000000_KilnsOnTheMoon', '99.0.0') returning migration_id");
        await File.WriteAllBytesAsync(Path.Combine(folder, "database-secret"), links.Secret ?? [1], TestContext.Current.CancellationToken);
        var ended = await Run(links.Admin);
        Assert.Equal(1, ended.Code);
        Assert.Contains("29990101000000_KilnsOnTheMoon", ended.Words, StringComparison.Ordinal);
        Assert.Contains("Start the newer program", ended.Words, StringComparison.Ordinal);
        var last = ended.Words.TrimEnd().Split('\n')[^1];
        Assert.Contains("The service cannot start", last, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", last, StringComparison.Ordinal); // the last word is a sentence and no stack
    }

    private const string DatabaseArgument = "--migrate";

    private Process Start(string connection, params string[] arguments)
    {
        var program = Path.Combine(CommittedFile.Root, "artifacts/bin/KilnShare.Api/debug/KilnShare.Api.dll");
        var start = new ProcessStartInfo(
            "dotnet", [program, .. arguments])
        { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false };
        start.Environment["KILNSHARE_DATA"] = folder;
        start.Environment["KILNSHARE_DATABASE"] = connection;
        var process = Process.Start(start)!;
        process.BeginErrorReadLine();
        return process;
    }

    private async Task<(int Code, string Words)> Run(string connection, params string[] arguments)
    {
        using var process = Start(connection, arguments.Length > 0 ? arguments : ["--urls", $"http://127.0.0.1:{FreePort()}"]);
        var words = await process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return (process.ExitCode, words);
    }

    private static async Task UntilReady(int port, Process service, Task<string> words)
    {
        using var client = new HttpClient();
        while (true)
        {
            if (service.HasExited) Assert.Fail("The service has ended: " + await words);
            try
            {
                using var answer = await client.GetAsync($"http://127.0.0.1:{port}/health/ready", TestContext.Current.CancellationToken);
                if (answer.IsSuccessStatusCode) return;
            }
            catch (HttpRequestException)
            {
                // not yet
            }

            await Task.Delay(50, TestContext.Current.CancellationToken);
        }
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }

    private static async Task<List<string>> Read(string connection, string sql)
    {
        await using var open = new NpgsqlConnection(connection + ";Pooling=false");
        await open.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = new NpgsqlCommand(sql, open);
        await using var row = await command.ExecuteReaderAsync(TestContext.Current.CancellationToken);
        var rows = new List<string>();
        while (await row.ReadAsync(TestContext.Current.CancellationToken)) rows.Add(row.GetString(0));
        return rows;
    }
}
