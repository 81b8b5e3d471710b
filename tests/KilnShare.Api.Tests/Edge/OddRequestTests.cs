using System.Globalization;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;
using KilnShare.Api.Tests.Access;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>
/// What stands around a body: path, query and headers put to values nobody should send. Refused with a problem document or let be; never a failure of
/// ours.
/// </summary>
public sealed class OddRequestTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    private static readonly string Long = new('a', 3_000);

    private static readonly string[] Odd =
    [
        "", " ", "x", "-1", "0", "1e9", "99999999999999999999", "NaN", "null", "true", "%00", "%0d%0a", "%ff", "%c0%af", "..%2f..", "%2e%2e", "é",
            "%F0%9F%8D%B5", "'", "%22", "%27%3b--", "{}", "*",
        "00000000-0000-0000-0000-000000000000", "ffffffff-ffff-ffff-ffff-ffffffffffff", "0190c0de00007000800000000000000a", "2026-13-45",
            "9999-12-31T23:59:59%2B14:00", "2026-01", Long,
    ];

    private readonly List<string> wrong = [];
    private int cases;

    [Fact]
    public async Task Odd_paths_and_queries_are_refused_or_let_be()
    {
        var world = await World.Make(service);
        using var client = service.Client();
        foreach (var route in RouteUnderTest.All(service).Where(r => r.Row.Least is not null))
        {
            var path = route.Path(name => world.Find(name) ?? World.Absent(name));
            foreach (var name in route.Parameters)
            {
                foreach (var odd in Odd.Where(o => o != "%00")) // which no server lets in, and the one in tests not even as far as that
                    await Send(client, world, route, route.Path(n => world.Find(n) ?? World.Absent(n), name, odd), $"{name} = {odd}");
            }

            foreach (var name in QueryOf(route.Operation).Append("notAQuestion"))
            {
                foreach (var odd in Odd) await Send(client, world, route, $"{path}?{name}={odd}", $"?{name}={odd}");
                await Send(client, world, route, $"{path}?{name}=1&{name}=2", $"?{name} twice");
            }

            await Send(client, world, route, path + "?" + string.Join('&', Enumerable.Range(0, 2_000).Select(i => $"q{i}={i}")), "2,000 questions");
        }

        Finish(3_000);
    }

    [Fact]
    public async Task Odd_headers_are_refused_or_let_be()
    {
        var world = await World.Make(service);
        using var client = service.Client();
        foreach (var route in RouteUnderTest.All(service).Where(r => r.Row.Least is not null))
        {
            var path = route.Path(name => world.Find(name) ?? World.Absent(name));
            foreach (var (name, value) in Headers(world.Studio.Owner.Token!)) await Send(client, world, route, path, $"{name}: {value}", (name, value));
        }

        Finish(3_000);
    }

    private static IEnumerable<(string Name, string Value)> Headers(string token)
    {
        foreach (var value in new[] { "", "Bearer", "Bearer ", "Bearer  ", "Bearer ks_", "Bearer ks_x", $"Bearer {token}x", $"Bearer {token}=",
            $"Bearer {token[..^1]}", $"Bearer {token[..^1]}é", $"Bearer {token}, Bearer {token}", $"Basic {token}", token, "Bearer ks_" + Long,
            "Bearer ks_" + new string('A', 64), "Bearer ks_" + new string('-', 64) })
            yield return ("Authorization", value);
        foreach (var name in new[] { "If-Match", "If-None-Match" })
        {
            foreach (var value in new[] { "", "*", "\"", "\"\"", "1", "W/\"1\"", "\"1\", \"2\"", "\"99999999999999999999\"", "\"-1\"", "\"é\"", ",", "\"1",
                Long }) yield return (name, value);
        }

        foreach (var value in new[] { "", " ", "é", "a,b", "\u0001", Long, "'" }) yield return ("Idempotency-Key", value);
        foreach (var value in new[] { "text/html", "x", "*/*;q=2", "application/json;q=0", Long }) yield return ("Accept", value);
        foreach (var value in new[] { "x", "application/json; charset=klingon", "application/json; charset=\"utf-8", "multipart/form-data", Long })
            yield return ("Content-Type", value);
        foreach (var value in new[] { "gzip", "x" }) yield return ("Content-Encoding", value);
        foreach (var (name, value) in new[] { ("Host", "elsewhere.example"), ("X-Forwarded-For", "1.2.3.4"), ("X-HTTP-Method-Override", "DELETE"),
            ("traceparent", "00-x-y-z"), ("Range", "bytes=0-1"), ("Expect", "200-maybe"), ("Origin", "null"), ("If-Modified-Since", "yesterday"),
            ("Cookie", Long) })
            yield return (name, value);
    }

    private async Task Send(HttpClient client, World world, RouteUnderTest route, string path, string what, (string Name, string Value)? header = null)
    {
        cases++;
        using var request = new HttpRequestMessage(new HttpMethod(route.Method), new Uri(client.BaseAddress!, path));
        request.Headers.TryAddWithoutValidation("Authorization", "Bearer " + world.Studio.Owner.Token);
        if (route.Method == "POST")
            request.Headers.TryAddWithoutValidation("Idempotency-Key", cases.ToString("x", CultureInfo.InvariantCulture) + route.Operation);
        // What the body says is refused, so that nothing is ever changed here.
        if (route.BodyType is not null)
            request.Content = new ByteArrayContent(Encoding.UTF8.GetBytes("{\"notAField\":1}")) { Headers = { { "Content-Type", route.ContentType } } };
        if (header is { } odd)
        {
            HttpHeaders? headers = odd.Name.StartsWith("Content-", StringComparison.Ordinal) ? request.Content?.Headers : request.Headers;
            headers?.Remove(odd.Name);
            headers?.TryAddWithoutValidation(odd.Name, odd.Value);
        }

        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        var type = response.Content.Headers.ContentType?.ToString();
        var status = (int)response.StatusCode;
        if (status >= 500) wrong.Add($"{route.Operation} {Short(what)}: {status} {ErrorLog.Last}");
        else if (status >= 400 && type != "application/problem+json; charset=utf-8")
            wrong.Add($"{route.Operation} {Short(what)}: {status} without a problem document but {type ?? "nothing"}");
        else if (status < 400 && header is { Name: "Authorization" }) wrong.Add($"{route.Operation} {Short(what)}: let in with {status}");
    }

    private void Finish(int least)
    {
        output.WriteLine($"{cases} cases");
        Assert.True(wrong.Count == 0, $"{wrong.Count} wrong of {cases}:\n" + string.Join("\n", wrong.Select(w => w[..Math.Min(w.Length, 600)]).Take(40)));
        Assert.True(cases >= least, $"Only {cases} cases.");
    }

    private static string Short(string what) => what.Length > 60 ? what[..60] + "…" : what;

    private static readonly Lazy<JsonElement> Document = new(() => JsonDocument.Parse(
        File.ReadAllText(Path.Combine(KilnShare.Api.Tests.Document.CommittedFile.Root, "tests/KilnShare.Api.Tests/openapi.json"))).RootElement);

    private static IEnumerable<string> QueryOf(string operation) =>
        from path in Document.Value.GetProperty("paths").EnumerateObject()
        from method in path.Value.EnumerateObject()
        where method.Value.TryGetProperty("operationId", out var id) && id.GetString() == operation && method.Value.TryGetProperty("parameters", out _)
        from parameter in method.Value.GetProperty("parameters").EnumerateArray()
        where parameter.GetProperty("in").GetString() == "query"
        select parameter.GetProperty("name").GetString()!;
}
