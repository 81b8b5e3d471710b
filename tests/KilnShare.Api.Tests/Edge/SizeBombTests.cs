using System.Diagnostics;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;
using System.Text;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>Bodies and headers that are far too large, over a real socket: refused within a second, at little memory, while others are served.</summary>
[Collection(nameof(Alone))]
public sealed class SizeBombTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    private const long MostGrowthBytes = 64L * 1024 * 1024;

    [Fact]
    public async Task Size_bombs_are_refused_within_a_second_and_memory_stays_flat()
    {
        using var client = service.OverSocket();
        var studio = await service.MakeStudio();
        var before = (await studio.Viewer.Get(studio.Path + "/clays")).Text;
        await using var watch = new DatabaseWatch(service);
        var rows = await watch.Read();
        await Refuse(client, studio, "warm up", "[]"u8.ToArray(), 400);
        var bombs = Bombs().Select(b => (b.Name, Body: Encoding.UTF8.GetBytes(b.Body), b.Status)).ToList();
        foreach (var (name, body, status) in bombs) await Refuse(client, studio, name, body, status); // what a first time costs stays out of the account
        GC.Collect();
        var start = Resident();
        var peak = 0L;
        using var done = new CancellationTokenSource();
        var sampling = Task.Run(
            async () =>
            {
                for (; !done.IsCancellationRequested; await Task.Delay(2, TestContext.Current.CancellationToken)) peak = Math.Max(peak, Resident() - start);
            },
            TestContext.Current.CancellationToken);
        for (var again = 0; again < 3; again++)
            foreach (var (name, body, status) in bombs) await Refuse(client, studio, name, body, status);
        await done.CancelAsync();
        await sampling;

        Assert.Equal(HttpStatusCode.RequestHeaderFieldsTooLarge, await StatusWithHeader(client, new string('h', 100_000)));
        Assert.Equal(before, (await studio.Viewer.Get(studio.Path + "/clays")).Text);
        Assert.Equal(rows, await watch.Read());
        output.WriteLine($"memory grew by {peak / 1024 / 1024} MiB at most");
        Assert.True(peak < MostGrowthBytes, $"Memory grew by {peak / 1024 / 1024} MiB.");
    }

    [Theory]
    [InlineData("POST /v1/studios HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n")]
    [InlineData("POST /v1/studios HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\nhello")]
    [InlineData("GET /v1/me HTTP/1.1\r\nHost: x\r\nBad Header: 1\r\n\r\n")]
    [InlineData("GET /v1/me\0 HTTP/1.1\r\nHost: x\r\n\r\n")]
    [InlineData("TRACE /v1/me HTTP/1.1\r\nHost: x\r\n\r\n")]
    public async Task Requests_that_two_readers_could_read_differently_are_refused(string raw)
    {
        using var client = service.OverSocket();
        using var socket = new TcpClient();
        await socket.ConnectAsync(client.BaseAddress!.Host, client.BaseAddress.Port, TestContext.Current.CancellationToken);
        await using var stream = socket.GetStream();
        await stream.WriteAsync(Encoding.ASCII.GetBytes(raw), TestContext.Current.CancellationToken);
        using var reader = new StreamReader(stream);
        var status = await reader.ReadLineAsync(TestContext.Current.CancellationToken);
        Assert.Matches("^HTTP/1.1 (400|401|405) ", status);
    }

    private static long Resident()
    {
        using var process = Process.GetCurrentProcess();
        return process.WorkingSet64;
    }

    private static IEnumerable<(string Name, string Body, int Status)> Bombs()
    {
        yield return ("10 MB of text", $"{{\"currency\":\"{new string('x', 10_000_000)}\"}}", 413);
        yield return ("29 MB of text", $"{{\"currency\":\"{new string('x', 29_000_000)}\"}}", 413);
        yield return ("3.9 MB of text", $"{{\"currency\":\"{new string('x', 3_900_000)}\"}}", 400);
        yield return ("a million pieces", $"{{\"currency\":\"EUR\",\"members\":[{string.Join(',', Enumerable.Repeat("{}", 1_000_000))}]}}", 400);
        yield return ("four hundred thousand lists", $"{{\"currency\":\"EUR\",\"members\":[{{\"id\":\"a\",\"levelHeightsMm\":[{string.Join(',', Enumerable.Repeat("1", 400_000))}]}}],\"parts\":[]}}", 400);
        yield return ("9.9 million pieces", $"[{string.Join(',', Enumerable.Repeat("{}", 3_300_000))}]", 413);
        yield return ("100,000 deep", new string('[', 100_000), 400);
        yield return ("100,000 unknown keys", "{" + string.Join(',', Enumerable.Range(0, 100_000).Select(i => $"\"k{i}\":1")) + "}", 400);
        yield return ("100,000 keys, the last one twice", "{\"currency\":{" + string.Join(',', Enumerable.Range(0, 100_000).Select(i => $"\"k{i}\":1")) + ",\"k99999\":1}}", 400);
    }

    private async Task Refuse(HttpClient client, TestStudio studio, string name, byte[] body, int status)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, "/v1/calculations/cost-split") { Content = new ByteArrayContent(body) };
        request.Content.Headers.ContentType = new MediaTypeHeaderValue("application/json");
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", studio.Viewer.Token);
        request.Headers.ExpectContinue = true; // so that the answer is read even where the body is not
        var start = Stopwatch.GetTimestamp();
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        var text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        var elapsed = Stopwatch.GetElapsedTime(start);
        output.WriteLine($"{name}: {(int)response.StatusCode} in {elapsed.TotalMilliseconds:0} ms");
        Assert.True((int)response.StatusCode == status, $"{name}: {(int)response.StatusCode} {text[..Math.Min(300, text.Length)]}");
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        Assert.True(elapsed < TimeSpan.FromSeconds(1), $"{name} took {elapsed}.");
    }

    private static async Task<HttpStatusCode> StatusWithHeader(HttpClient client, string value)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, "/v1/me");
        request.Headers.TryAddWithoutValidation("X-Large", value);
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        return response.StatusCode;
    }
}

/// <summary>Tests that measure the process and so run with nothing beside them.</summary>
[CollectionDefinition(nameof(Alone), DisableParallelization = true)]
public sealed class Alone;
