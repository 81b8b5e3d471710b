using System.Diagnostics;
using System.IO.Compression;
using System.Text;
using System.Text.Json.Nodes;
using KilnShare.Api.Hosting;
using KilnShare.Api.Tests.Common;
using KilnShare.Api.Tests.Document;
using KilnShare.Storage.Setup;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using Npgsql;

namespace KilnShare.Api.Tests.Storage;

/// <summary>An answer that a service of the first release gave.</summary>
/// <param name="Token">Whose question it was.</param>
/// <param name="Path">What was asked.</param>
/// <param name="Status">The status.</param>
/// <param name="Body">The JSON, the text of a table or calendar, or the code of a refusal; null where only the status is kept.</param>
public sealed record RecordedAnswer(string Token, string Path, int Status, JsonNode? Body);

/// <summary>The database of the first release, and what its service answered from it (tests/data/first-release).</summary>
internal static class FirstRelease
{
    /// <summary>The moment at which it was asked.</summary>
    public static Instant Moment { get; } = Instant.FromUtc(2027, 3, 21, 12, 0);

    /// <summary>The database with all its rows, as SQL.</summary>
    public static string Sql() => Unpack("database.sql.gz");

    /// <summary>What was answered.</summary>
    public static IReadOnlyList<RecordedAnswer> Answers()
    {
        var (answers, token) = (new List<RecordedAnswer>(), "");
        foreach (var line in Unpack("answers.jsonl.gz").Split('\n', StringSplitOptions.RemoveEmptyEntries))
        {
            var row = JsonNode.Parse(line)!;
            if (row["token"] is { } next) token = (string)next!;
            else answers.Add(new RecordedAnswer(token, (string)row["path"]!, (int)row["status"]!, row["body"] ?? row["text"] ?? row["code"]));
        }

        return answers;
    }

    /// <summary>A service over a database, standing still at that moment.</summary>
    public static async Task<Service> Serve(TestDatabase database, DatabaseLinks links)
    {
        var service = new Service(
            database)
        { Over = links, DoesJobs = false, Also = host => host.ConfigureServices(s => s.AddSingleton<IClock>(new StillClock())) };
        await service.InitializeAsync();
        return service;
    }

    /// <summary>What a service answers to the same question now, as it would have been recorded.</summary>
    public static async Task<RecordedAnswer> Ask(Service service, RecordedAnswer asked)
    {
        var reply = await service.As(asked.Token).Get(asked.Path);
        JsonNode? body = (int)reply.Status != 200 ? reply.Code
            : reply.ContentType!.Split(';')[0] is "application/json" ? JsonNode.Parse(reply.Text)
            : reply.ContentType.Split(';')[0] is "text/csv" or "text/calendar" ? reply.Text
            : null;
        return asked with { Status = (int)reply.Status, Body = body };
    }

    private static string Unpack(string name)
    {
        using var file = new GZipStream(File.OpenRead(Path.Combine(CommittedFile.Root, "tests/data/first-release", name)), CompressionMode.Decompress);
        using var reader = new StreamReader(file, Encoding.UTF8);
        return reader.ReadToEnd();
    }

    private sealed class StillClock : IClock
    {
        public Instant GetCurrentInstant() => Moment;
    }
}

/// <summary>Databases as SQL text: taken from a server and brought back.</summary>
internal static class DatabaseText
{
    /// <summary>Makes a database out of such a text.</summary>
    public static async Task<DatabaseLinks> Restore(this TestDatabase server, string sql)
    {
        var links = await server.Empty();
        await using var admin = new NpgsqlConnection(links.Admin + ";Pooling=false;Command Timeout=300");
        await admin.OpenAsync(TestContext.Current.CancellationToken);
        // Lines such as \restrict are psql's own.
        var statements = string.Join('\n', sql.Split('\n').Where(l => !l.StartsWith('\\')));
        await using var run = new NpgsqlCommand(statements, admin);
        await run.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        return links;
    }

    /// <summary>Takes the text of a database.</summary>
    public static async Task<string> Dump(this TestDatabase server, DatabaseLinks links)
    {
        string[] how = ["--inserts", "--rows-per-insert=200"];
        var at = new NpgsqlConnectionStringBuilder(links.Admin);
        if (await server.InContainer(["pg_dump", .. how, "-U", at.Username!, at.Database!]) is { } text) return text;
        var start = new ProcessStartInfo(PostgresPrograms.For(null)
            .Path("pg_dump"), [.. how, at.Database!])
        { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false };
        start.Environment["PGHOST"] = at.Host;
        start.Environment["PGPORT"] = at.Port.ToString(System.Globalization.CultureInfo.InvariantCulture);
        start.Environment["PGUSER"] = at.Username;
        start.Environment["PGPASSWORD"] = at.Password;
        using var run = Process.Start(start)!;
        var errors = run.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        var sql = await run.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await run.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(run.ExitCode == 0, await errors);
        return sql;
    }
}
