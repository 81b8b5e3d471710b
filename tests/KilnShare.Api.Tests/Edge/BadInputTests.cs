using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Reflection;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using KilnShare.Api.Tests.Access;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Edge;

/// <summary>
/// Every field of every body, put to values it does not take: a problem document with code and pointer, nothing stored, never a failure of ours.
/// </summary>
public sealed class BadInputTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    private readonly ConcurrentBag<string> wrong = [];
    private int cases;
    private long slowestMs;

    [Fact]
    public async Task Every_field_refuses_what_the_document_says_it_does_not_take()
    {
        var (world, watch) = (await World.Make(service), new StoreWatch(service));
        var check = new AnswerCheck(service);
        using var client = service.Client();
        foreach (var route in Routes())
        {
            var example = world.Fill(route.Example!);
            foreach (var (pointer, isText) in Fields(example, route.BodyType!))
            {
                foreach (var value in isText ? BadValues.Any.Concat(BadValues.Text) : BadValues.Any)
                {
                    var body = With(example, pointer, value);
                    bool? taken = null;
                    if (!BadValues.Never.Contains(value) && !BadValues.Text.Contains(value))
                    {
                        using var read = JsonDocument.Parse(body);
                        taken = await check.Takes(route.Operation, route.ContentType!, read.RootElement);
                    }

                    var reply = await Send(client, world, route, Encoding.UTF8.GetBytes(body), route.ContentType!);
                    Judge(route, $"{pointer} = {Short(value)}", reply, taken == false || BadValues.Text.Contains(value)
                        || BadValues.Never.Contains(value), pointer);
                    // A job of a change that was accepted before may write beside it: what stores, stores again.
                    var stored = await watch.Stored(reply);
                    for (var again = 0; again < 5 && stored is not null; again++)
                    {
                        await Task.Delay(100, TestContext.Current.CancellationToken);
                        await watch.Stored(reply);
                        stored = await watch.Stored(await Send(client, world, route, Encoding.UTF8.GetBytes(body), route.ContentType!));
                    }

                    if (stored is not null) wrong.Add($"{route.Operation} {pointer} = {Short(value)}: {(int)reply.Status}, and {stored}");
                }
            }
        }

        Finish(1500);
    }

    [Fact]
    public async Task Every_body_is_read_strictly()
    {
        var (world, watch) = (await World.Make(service), new StoreWatch(service));
        using var client = service.Client();
        foreach (var route in Routes())
        {
            foreach (var (name, body, contentType) in Tricks(world.Fill(route.Example!).ToJsonString(), route.ContentType!))
            {
                var reply = await Send(client, world, route, body, contentType);
                Judge(route, name, reply, mustRefuse: true, null);
                if (await watch.Stored(reply) is { } stored) wrong.Add($"{route.Operation} {name}: {stored}");
            }
        }

        Finish(300);
    }

    private List<RouteUnderTest> Routes()
    {
        var routes = RouteUnderTest.All(service).Where(r => r.BodyType is not null && r.Row.Least is not null).ToList();
        Assert.Empty(routes.Where(r => r.Example is null).Select(r => r.Operation));
        // A table has no fields: LogCsvTests asks it.
        Assert.Equal(["createReadingsFromCsv"], routes.Where(r => r.ContentType == "text/csv").Select(r => r.Operation));
        return [.. routes.Where(r => r.ContentType != "text/csv")];
    }

    private void Judge(RouteUnderTest route, string what, Reply reply, bool mustRefuse, string? pointer)
    {
        cases++;
        var status = (int)reply.Status;
        if (status >= 500) wrong.Add($"{route.Operation} {what}: {status} {ErrorLog.Last}");
        else if (status < 400 && mustRefuse) wrong.Add($"{route.Operation} {what}: taken with {status}, which the document does not say");
        else if (status >= 400 && (reply.Code is null || reply.ContentType != "application/problem+json; charset=utf-8"))
            wrong.Add($"{route.Operation} {what}: {status} without a problem document");
        else if (status == 400 && pointer is not null && !Points(reply.Pointer, pointer))
            wrong.Add($"{route.Operation} {what}: points to {reply.Pointer ?? "nothing"} ({reply.Code})");
    }

    private static bool Points(string? told, string asked) =>
        told is not null && (told == asked || told.StartsWith(asked + "/", StringComparison.Ordinal) || asked.StartsWith(told, StringComparison.Ordinal)
            || Sibling(told, asked));

    /// <summary>Rules that weigh two fields of one object against each other may name the other one.</summary>
    private static bool Sibling(string told, string asked) => told[..told.LastIndexOf('/')] == asked[..asked.LastIndexOf('/')];

    private void Finish(int least)
    {
        output.WriteLine($"{cases} cases, the slowest took {slowestMs} ms");
        Assert.True(wrong.IsEmpty, $"{wrong.Count} wrong of {cases}:\n" + string.Join(
            "\n", wrong.Order(StringComparer.Ordinal).Select(w => w[..Math.Min(w.Length, 600)]).Take(40)));
        Assert.True(cases >= least, $"Only {cases} cases.");
    }

    private async Task<Reply> Send(HttpClient client, World world, RouteUnderTest route, byte[] body, string contentType)
    {
        using var request = new HttpRequestMessage(new HttpMethod(route.Method), route.Path(name => world.Find(name) ?? World.Absent(name)));
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", world.Studio.Owner.Token);
        if (route.Method == "POST") request.Headers.Add("Idempotency-Key", cases.ToString("x", CultureInfo.InvariantCulture) + route.Operation);
        else request.Headers.TryAddWithoutValidation("If-Match", "*");
        request.Content = new ByteArrayContent(body);
        request.Content.Headers.TryAddWithoutValidation("Content-Type", contentType);
        var start = Stopwatch.GetTimestamp();
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        var text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        if (response.StatusCode != HttpStatusCode.OK) slowestMs = Math.Max(slowestMs, (long)Stopwatch.GetElapsedTime(start).TotalMilliseconds);
        return new Reply(response.StatusCode, response.Headers, response.Content.Headers.ContentType?.ToString(), text);
    }

    private static IEnumerable<(string Name, byte[] Body, string ContentType)> Tricks(string good, string contentType)
    {
        var first = JsonNode.Parse(good)!.AsObject().First();
        var field = $"\"{first.Key}\":{first.Value?.ToJsonString() ?? "null"}";
        var escaped = $"\"\\u{(int)first.Key[0]:x4}{first.Key[1..]}\":{first.Value?.ToJsonString() ?? "null"}";
        foreach (var (name, text) in new[]
        {
            ("empty", ""), ("spaces", "  "), ("null", "null"), ("a list", "[]"), ("a text", "\"x\""), ("a number", "5"), ("true", "true"),
            ("duplicate key", $"{{{field},{good[1..]}"), ("duplicate key by escape", $"{{{escaped},{good[1..]}"),
            ("unknown key", $"{{\"colourOfTheSky\":1,{good[1..]}"), ("proto key", $"{{\"__proto__\":{{}},{good[1..]}"),
                ("key in capitals", $"{{\"{first.Key.ToUpperInvariant()}\":1,{good[1..]}"),
            ("comment", "/* x */" + good), ("line comment", good + "// x"), ("trailing data", good + " {}"), ("trailing comma", good[..^1] + ",}"),
                ("NaN", $"{{\"{first.Key}\":NaN}}"),
            ("single quotes", good.Replace('"', '\'')), ("cut off", good[..^1]), ("lone surrogate in a key", "{\"\\ud800\":1}"),
            ("nested 100,000 deep", new string('[', 100_000)),
                ("nested 100,000 deep in a field", $"{{\"{first.Key}\":{new string('[', 100_000)}{new string(']', 100_000)}}}"),
            ("objects 100,000 deep", string.Concat(Enumerable.Repeat("{\"a\":", 100_000))),
            ("100,000 unknown keys", "{" + string.Join(',', Enumerable.Range(0, 100_000).Select(i => $"\"k{i}\":1")) + "}"),
            ("a number of a million digits", $"{{\"{first.Key}\":1{new string('0', 1_000_000)}}}"),
                ("a list of a million", $"{{\"{first.Key}\":[{string.Join(',', Enumerable.Repeat("{}", 1_000_000))}]}}"),
        })
            yield return (name, Encoding.UTF8.GetBytes(text), contentType);
        yield return ("byte order mark", [0xEF, 0xBB, 0xBF, .. Encoding.UTF8.GetBytes(good)], contentType);
        yield return ("not UTF-8", [.. Encoding.UTF8.GetBytes("{\"a"), 0xFF, .. Encoding.UTF8.GetBytes("\":1}")], contentType);
        yield return ("overlong UTF-8", [.. Encoding.UTF8.GetBytes($"{{\"{first.Key}\":\""), 0xC0, 0xAF, .. Encoding.UTF8.GetBytes("\"}")], contentType);
        yield return ("UTF-16", Encoding.Unicode.GetBytes(good), contentType);
        yield return ("UTF-16 that says so", Encoding.Unicode.GetBytes(good), contentType + "; charset=utf-16");
        yield return ("plain text", Encoding.UTF8.GetBytes(good), "text/plain");
        yield return ("a form", Encoding.UTF8.GetBytes("a=b"), "application/x-www-form-urlencoded");
        yield return ("another JSON", Encoding.UTF8.GetBytes(good), "application/json-patch+json");
    }

    /// <summary>The pointers of every field of a body: those of its example, and those that its type has beside.</summary>
    private static List<(string Pointer, bool IsText)> Fields(JsonNode node, Type type, string pointer = "")
    {
        var found = new List<(string, bool)>();
        if (Item(type) is { } item)
        {
            if (node is JsonArray { Count: > 0 } list && list[0] is { } entry)
            {
                found.Add((pointer + "/0", item == typeof(string)));
                found.AddRange(Fields(entry, item, pointer + "/0"));
            }

            return found;
        }

        if (type.Assembly != typeof(Program).Assembly || type.IsEnum || node is JsonValue) return found; // a material may be a word
        foreach (var property in type.GetProperties(BindingFlags.Public | BindingFlags.Instance))
        {
            var name = JsonNamingPolicy.CamelCase.ConvertName(property.Name);
            var at = $"{pointer}/{name}";
            found.Add((at, property.PropertyType == typeof(string)));
            if (node is JsonObject fields && fields[name] is { } value)
                found.AddRange(Fields(value, Nullable.GetUnderlyingType(property.PropertyType) ?? property.PropertyType, at));
        }

        return found;
    }

    private static Type? Item(Type type) =>
        type.IsGenericType && type.GetGenericTypeDefinition() == typeof(IReadOnlyList<>) ? type.GetGenericArguments()[0] : null;

    /// <summary>The body with one field put to a value, as text: the value need not be what a JSON library would write.</summary>
    private static string With(JsonNode example, string pointer, string value)
    {
        const string Mark = "\"here stands the value\"";
        var body = example.DeepClone();
        var parts = pointer.Split('/')[1..];
        var at = body;
        foreach (var part in parts[..^1]) at = at is JsonArray list ? list[int.Parse(part, CultureInfo.InvariantCulture)]! : at[part]!;
        if (at is JsonArray array) array[int.Parse(parts[^1], CultureInfo.InvariantCulture)] = "here stands the value";
        else at[parts[^1]] = "here stands the value";
        return body.ToJsonString().Replace(Mark, value, StringComparison.Ordinal);
    }

    private static string Short(string value) => value.Length > 40 ? value[..40] + "…" : value;
}
