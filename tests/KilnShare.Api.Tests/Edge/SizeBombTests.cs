using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;
using System.Text;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>Bodies and headers that are far too large, over a real socket: refused for little memory and little work, while others are served.</summary>
[Collection(nameof(Alone))]
public sealed class SizeBombTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    // Of client and service together: what is allocated is counted exactly, whatever the collector does with it and however busy the machine is.
    private const long MostAllocatedBytes = 64L * 1024 * 1024;
    private static readonly TimeSpan MostWork = TimeSpan.FromSeconds(1);

    [Fact]
    public async Task Size_bombs_are_refused_for_little_memory_and_little_work()
    {
        using var client = service.OverSocket();
        var studio = await service.MakeStudio();
        var before = (await studio.Viewer.Get(studio.Path + "/clays")).Text;
        await using var watch = new DatabaseWatch(service);
        var rows = await watch.Read();
        await Refuse(client, studio, "warm up", "[]"u8.ToArray(), 400);
        foreach (var (name, text, status) in Bombs())
        {
            var body = Encoding.UTF8.GetBytes(text);
            await Refuse(client, studio, name, body, status); // what a first time costs stays out of the account
            var (allocated, worked) = (GC.GetTotalAllocatedBytes(precise: true), Environment.CpuUsage.TotalTime);
            await Refuse(client, studio, name, body, status);
            allocated = GC.GetTotalAllocatedBytes(precise: true) - allocated;
            worked = Environment.CpuUsage.TotalTime - worked;
            output.WriteLine($"{name}: {allocated / 1024.0 / 1024:0.0} MiB allocated, {worked.TotalMilliseconds:0} ms of processor");
            Assert.True(allocated < MostAllocatedBytes, $"{name}: {allocated / 1024 / 1024} MiB were allocated.");
            Assert.True(worked < MostWork, $"{name}: {worked.TotalMilliseconds:0} ms of processor.");
        }

        Assert.Equal(HttpStatusCode.RequestHeaderFieldsTooLarge, await StatusWithHeader(client, new string('h', 100_000)));
        Assert.Equal(before, (await studio.Viewer.Get(studio.Path + "/clays")).Text);
        Assert.Equal(rows, await watch.Read());
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

    private static IEnumerable<(string Name, string Body, int Status)> Bombs()
    {
        yield return ("10 MB of text", $"{{\"currency\":\"{new string('x', 10_000_000)}\"}}", 413);
        yield return ("29 MB of text", $"{{\"currency\":\"{new string('x', 29_000_000)}\"}}", 413);
        yield return ("3.9 MB of text", $"{{\"currency\":\"{new string('x', 3_900_000)}\"}}", 400);
        yield return ("a million pieces", $"{{\"currency\":\"EUR\",\"members\":[{string.Join(',', Enumerable.Repeat("{}", 1_000_000))}]}}", 400);
        yield return ("four hundred thousand lists",
            $$"""{"currency":"EUR","members":[{"id":"a","levelHeightsMm":[{{string.Join(',', Enumerable.Repeat("1", 400_000))}}]}],"parts":[]}""", 400);
        yield return ("9.9 million pieces", $"[{string.Join(',', Enumerable.Repeat("{}", 3_300_000))}]", 413);
        yield return ("100,000 deep", new string('[', 100_000), 400);
        yield return ("100,000 unknown keys", "{" + string.Join(',', Enumerable.Range(0, 100_000).Select(i => $"\"k{i}\":1")) + "}", 400);
        yield return ("100,000 keys, the last one twice", "{\"currency\":{" + string.Join(
            ',', Enumerable.Range(0, 100_000).Select(i => $"\"k{i}\":1")) + ",\"k99999\":1}}", 400);
    }

    private static async Task Refuse(HttpClient client, TestStudio studio, string name, byte[] body, int status)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, "/v1/calculations/cost-split") { Content = new ByteArrayContent(body) };
        request.Content.Headers.ContentType = new MediaTypeHeaderValue("application/json");
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", studio.Viewer.Token);
        request.Headers.ExpectContinue = true; // so that the answer is read even where the body is not
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        var text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.True((int)response.StatusCode == status, $"{name}: {(int)response.StatusCode} {text[..Math.Min(300, text.Length)]}");
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
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
