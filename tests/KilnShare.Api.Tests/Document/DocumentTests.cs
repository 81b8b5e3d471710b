using System.Text.Json;
using System.Text.Json.Nodes;
using KilnShare.Api.Access;
using KilnShare.Api.Tests.Common;
using Microsoft.Extensions.DependencyInjection;
using Swashbuckle.AspNetCore.Swagger;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace KilnShare.Api.Tests.Document;

/// <summary>The OpenAPI document: committed, complete, and true of itself.</summary>
public sealed class DocumentTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    private static readonly string[] Limits = ["maxLength", "pattern", "format", "enum", "const"];

    [Fact]
    public async Task The_document_is_the_committed_one()
    {
        var now = (await Load())
            .ToJsonString(new() { WriteIndented = true, Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping }) + "\n";
        CommittedFile.Compare("tests/KilnShare.Api.Tests/openapi.json", now);
    }

    /// <summary>Making it takes most of a second of processor, and anyone may ask for it: it is made once, however many ask at once.</summary>
    [Fact]
    public async Task The_document_is_made_once_and_not_sent_to_who_has_it()
    {
        var made = 0;
        using var counting = service.WithWebHostBuilder(b => b.ConfigureServices(services =>
        {
            services.AddTransient<IAsyncSwaggerProvider>(
                s => new Counting(ActivatorUtilities.CreateInstance<SwaggerGenerator>(s), () => Interlocked.Increment(ref made)));
            services.AddTransient<ISwaggerProvider>(
                s => new Counting(ActivatorUtilities.CreateInstance<SwaggerGenerator>(s), () => Interlocked.Increment(ref made)));
        }));
        var nobody = new Common.Caller(counting.CreateClient(), null);
        var replies = await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => Task.Run(() => nobody.Get("/openapi/v1.json"))));
        Assert.Equal(1, made);
        Assert.Single(replies.Select(r => r.Expect(System.Net.HttpStatusCode.OK).Text).Distinct(StringComparer.Ordinal));
        using var again = new HttpRequestMessage(HttpMethod.Get, "/openapi/v1.json");
        again.Headers.IfNoneMatch.Add(replies[0].Headers.ETag!);
        using var kept = await counting.CreateClient().SendAsync(again, TestContext.Current.CancellationToken);
        Assert.Equal(System.Net.HttpStatusCode.NotModified, kept.StatusCode);
        Assert.Equal(1, made);
    }

    private sealed class Counting(SwaggerGenerator generator, Action count) : ISwaggerProvider, IAsyncSwaggerProvider
    {
        public Microsoft.OpenApi.OpenApiDocument GetSwagger(string documentName, string? host = null, string? basePath = null)
        {
            count();
            return generator.GetSwagger(documentName, host, basePath);
        }

        public Task<Microsoft.OpenApi.OpenApiDocument> GetSwaggerAsync(string documentName, string? host = null, string? basePath = null)
        {
            count();
            return generator.GetSwaggerAsync(documentName, host, basePath);
        }
    }

    [Fact]
    public async Task Every_operation_has_a_name_a_summary_a_tag_its_security_its_refusals_and_examples()
    {
        var document = await Load();
        var missing = new List<string>();
        var names = new HashSet<string>(StringComparer.Ordinal);
        foreach (var operation in Operations(document))
        {
            var name = (string?)operation["operationId"] ?? "";
            if (!names.Add(name)) missing.Add($"{name} stands twice");
            foreach (var part in new[] { "operationId", "summary", "tags", "security", "responses" })
                if (operation[part] is null) missing.Add($"{name}: {part}");
            var responses = operation["responses"]!.AsObject();
            var open = !AccessTable.Rows.TryGetValue(name, out var row) || row == AccessTable.Anyone;
            foreach (var status in open ? ["default"] : new[] { "400", "401", "403", "404", "429", "default" })
                if (responses[status]?["content"]?["application/problem+json"] is null) missing.Add($"{name}: the refusal {status}");
            var good = responses.Where(r => r.Key.StartsWith('2')).ToList();
            if (good.Count == 0) missing.Add($"{name}: a good answer");
            foreach (var (status, answer) in good)
                foreach (var (media, body) in answer!["content"]?.AsObject() ?? [])
                    if (media == "application/json" && body!["example"] is null) missing.Add($"{name}: an example of {status}; tell it in Document/Story.cs");
            foreach (var (media, body) in operation["requestBody"]?["content"]?.AsObject() ?? [])
                if (media.EndsWith("json", StringComparison.Ordinal) && body!["example"] is null)
                    missing.Add($"{name}: an example of its body; tell it in Document/Story.cs");
            foreach (var parameter in operation["parameters"]?.AsArray() ?? [])
                if (parameter!["description"] is null) missing.Add($"{name}: a description of {parameter["name"]}");
        }

        output.WriteLine($"{names.Count} operations");
        Assert.Equal(AccessTable.Rows.Keys.Order(StringComparer.Ordinal), names.Order(StringComparer.Ordinal));
        Assert.True(missing.Count == 0, $"{missing.Count} missing:\n" + string.Join("\n", missing.Take(40)));
    }

    [Fact]
    public async Task Everything_a_caller_may_send_has_a_limit()
    {
        var document = await Load();
        var bare = new SortedSet<string>(StringComparer.Ordinal);
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var operation in Operations(document))
        {
            foreach (var (_, body) in operation["requestBody"]?["content"]?.AsObject() ?? []) Visit(body!["schema"], (string)operation["operationId"]!);
            foreach (var parameter in operation["parameters"]?.AsArray() ?? []) Visit(parameter!["schema"], $"{operation["operationId"]} {parameter["name"]}");
        }

        Assert.True(bare.Count == 0, $"{bare.Count} without a limit:\n" + string.Join("\n", bare.Take(80)));

        void Visit(JsonNode? schema, string at)
        {
            if (schema is not JsonObject fields) return;
            if ((string?)fields["$ref"] is { } reference)
            {
                var name = reference.Split('/')[^1];
                if (seen.Add(name)) Visit(document["components"]!["schemas"]![name], name);
                return;
            }

            foreach (var word in new[] { "allOf", "anyOf", "oneOf" })
                foreach (var part in fields[word]?.AsArray() ?? []) Visit(part, at);
            foreach (var (name, inner) in fields["properties"]?.AsObject() ?? []) Visit(inner, $"{at}.{name}");
            var types = fields["type"] is JsonArray list ? list.Select(t => (string)t!).ToList() : [(string?)fields["type"] ?? ""];
            if (types.Contains("string") && !Limits.Any(fields.ContainsKey)) bare.Add(at + ": a string");
            if (types.Contains("array") && !fields.ContainsKey("maxItems")) bare.Add(at + ": a list");
            if ((types.Contains("integer") || types.Contains("number")) && !(Bounded("inimum") && Bounded("aximum"))) bare.Add(at + ": a number");
            Visit(fields["items"], at + "[]");

            bool Bounded(string end) => fields.ContainsKey("m" + end) || fields.ContainsKey("exclusiveM" + end);
        }
    }

    [Fact]
    public async Task Every_reference_leads_somewhere_and_nothing_lies_idle()
    {
        var document = await Load();
        var used = References(document).ToHashSet(StringComparer.Ordinal);
        var known = document["components"]!["schemas"]!.AsObject().Select(s => "#/components/schemas/" + s.Key).ToHashSet(StringComparer.Ordinal);
        Assert.Empty(used.Except(known, StringComparer.Ordinal));
        Assert.Empty(known.Except(used, StringComparer.Ordinal));
    }

    [Fact]
    public async Task Every_example_of_a_body_is_one_that_the_document_takes()
    {
        var check = new AnswerCheck(service);
        foreach (var operation in Operations(await Load()))
        {
            foreach (var (media, body) in operation["requestBody"]?["content"]?.AsObject() ?? [])
            {
                if (body!["example"] is not { } example) continue;
                using var read = JsonDocument.Parse(example.ToJsonString());
                Assert.True(await check.Takes(
                    (string)operation["operationId"]!, media, read.RootElement), $"{operation["operationId"]}: {example.ToJsonString()}");
            }
        }
    }

    private static IEnumerable<JsonNode> Operations(JsonObject document) =>
        document["paths"]!.AsObject().SelectMany(p => p.Value!.AsObject()).Where(o => o.Key is "get" or "post" or "put" or "patch" or "delete")
            .Select(o => o.Value!);

    private static IEnumerable<string> References(JsonNode? node) => node switch
    {
        JsonObject fields => fields.SelectMany(f => f.Key == "$ref" && f.Value is JsonValue text ? [(string)text!] : References(f.Value)),
        JsonArray list => list.SelectMany(References),
        _ => [],
    };

    private async Task<JsonObject> Load()
    {
        using var client = service.CreateClient();
        return JsonNode.Parse(await client.GetStringAsync("/openapi/v1.json", TestContext.Current.CancellationToken))!.AsObject();
    }
}
