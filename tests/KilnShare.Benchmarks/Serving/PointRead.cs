using System.Diagnostics;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;

namespace KilnShare.Benchmarks.Serving;

/// <summary>A point read through the service against a bare driver query in a minimal endpoint: same machine, same cluster, same run.</summary>
internal static class PointRead
{
    private const int Callers = 16;
    private const int WarmRounds = 3;
    private const int Rounds = 4;
    private static readonly TimeSpan Span = TimeSpan.FromSeconds(4);
    private static readonly TimeSpan AtRest = TimeSpan.FromSeconds(25); // two of the looks after which memory is given back

    public static async Task Print()
    {
        await using var service = new ServiceProcess(18_090);
        await service.Start();
        var (studio, token) = await service.MakeStudio();
        var clay = (await service.Ask(token, HttpMethod.Post, studio + "/clays", new { name = "clay", cones = new { from = "5", to = "7" } })).GetProperty("id")
            .GetGuid();
        await using var bare = await StartBare(service.Folder, clay);
        using var client = new HttpClient(new SocketsHttpHandler { MaxConnectionsPerServer = 64 });
        var (ours, theirs) = (new List<double>(), new List<double>());
        // Both are warm once the runtime has compiled what is called often for good.
        for (var round = 0; round < WarmRounds + Rounds; round++)
        {
            theirs.Add(await Rate(client, "http://127.0.0.1:18091/clay", null));
            ours.Add(await Rate(service.Client, $"http://127.0.0.1:18090{studio}/clays/{clay}", token));
        }

        var (rate, bareRate) = (ours.Skip(WarmRounds).Average(), theirs.Skip(WarmRounds).Average());
        var most = service.MemoryMiB();
        await Task.Delay(AtRest);
        Console.WriteLine(
            $"| point read over HTTP, token looked up each time | {rate:0}/s | bare driver in a minimal endpoint {bareRate:0}/s | ratio "
                + $"{rate / bareRate:0.00} | service memory {most} MiB, {service.MemoryMiB()} MiB at rest |");
    }

    private static async Task<WebApplication> StartBare(string folder, Guid clay)
    {
        var builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.WebHost.UseUrls("http://127.0.0.1:18091");
        var source = NpgsqlDataSource.Create(new NpgsqlConnectionStringBuilder
        {
            Host = Path.Combine(
            folder, "run"),
            Username = "postgres",
            Database = "kilnshare",
            MaxPoolSize = 12,
            MaxAutoPrepare = 20,
            NoResetOnClose = true
        });
        var app = builder.Build();
        app.MapGet("/clay", async () =>
        {
            await using var command = source.CreateCommand("select body::text from clay where id = $1");
            command.Parameters.Add(new NpgsqlParameter<Guid> { TypedValue = clay });
            return await command.ExecuteScalarAsync() as string;
        });
        await app.StartAsync();
        return app;
    }

    private static async Task<double> Rate(HttpClient client, string url, string? token)
    {
        var done = 0L;
        var clock = Stopwatch.StartNew();
        await Task.WhenAll(Enumerable.Range(0, Callers).Select(async _ =>
        {
            while (clock.Elapsed < Span)
            {
                using var request = new HttpRequestMessage(HttpMethod.Get, url);
                if (token is not null) request.Headers.Authorization = new("Bearer", token);
                using var response = await client.SendAsync(request);
                response.EnsureSuccessStatusCode();
                await response.Content.ReadAsByteArrayAsync();
                Interlocked.Increment(ref done);
            }
        }));
        return done / clock.Elapsed.TotalSeconds;
    }
}
