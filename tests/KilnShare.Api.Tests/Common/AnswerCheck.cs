using System.Collections.Concurrent;
using System.Text.Json;
using System.Text.Json.Nodes;
using Json.Schema;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace KilnShare.Api.Tests.Common;

/// <summary>Tells the tests which operation answered.</summary>
public sealed class OperationHeader : IStartupFilter
{
    public const string Name = "X-Test-Operation";

    public Action<IApplicationBuilder> Configure(Action<IApplicationBuilder> next) => app =>
    {
        app.Use((context, inner) =>
        {
            context.Response.OnStarting(() =>
            {
                var operation = context.GetEndpoint()?.Metadata.GetMetadata<IEndpointNameMetadata>()?.EndpointName;
                if (operation is not null) context.Response.Headers[Name] = operation;
                return Task.CompletedTask;
            });
            return inner(context);
        });
        next(app);
    };

}

/// <summary>Holds every answer of every test against the service's own document.</summary>
public sealed class AnswerCheck(Service service) : DelegatingHandler
{
    private const string DocumentId = "https://kilnshare.example/document";
    private static readonly SemaphoreSlim Loading = new(1);
    private static readonly ConcurrentDictionary<string, JsonSchema?> Schemas = new(StringComparer.Ordinal);
    private static JsonObject? document;
    private static BuildOptions? building;

    /// <summary>How many answers were held against their schema in this run.</summary>
    public static int Checked => Volatile.Read(ref count);

    private static int count;

    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        var response = await base.SendAsync(request, cancellationToken);
        if (request.Method == HttpMethod.Get && response.StatusCode == System.Net.HttpStatusCode.OK) await CheckTag(request, response, cancellationToken);
        if (response.Headers.TryGetValues(OperationHeader.Name, out var operation) && response.Content.Headers.ContentType?.MediaType is { } media
            && media.EndsWith("json", StringComparison.Ordinal))
        {
            await Load(cancellationToken);
            await response.Content.LoadIntoBufferAsync(cancellationToken);
            Check(operation.Single(), (int)response.StatusCode, media, await response.Content.ReadAsStringAsync(cancellationToken));
        }

        return response;
    }

    /// <summary>Under one tag a path has one answer, as long as any test asks.</summary>
    private static async Task CheckTag(HttpRequestMessage request, HttpResponseMessage response, CancellationToken cancellation)
    {
        Assert.True(response.Headers.ETag is not null, $"{request.RequestUri} has no ETag.");
        await response.Content.LoadIntoBufferAsync(cancellation);
        var answer = Convert.ToHexString(System.Security.Cryptography.SHA256.HashData(await response.Content.ReadAsByteArrayAsync(cancellation)));
        Assert.True(Tagged.GetOrAdd(
            $"{request.RequestUri} {response.Headers.ETag}", answer) == answer, $"{request.RequestUri} has two answers under {response.Headers.ETag}.");
    }

    private static readonly ConcurrentDictionary<string, string> Tagged = new(StringComparer.Ordinal);

    private async Task Load(CancellationToken cancellation)
    {
        await Loading.WaitAsync(cancellation);
        try
        {
            if (document is not null) return;
            using var plain = service.CreateDefaultClient(); // in memory or over a socket, as the service is served
            document = JsonNode.Parse(await plain.GetStringAsync("/openapi/v1.json", cancellation))!.AsObject();
            var options = new BuildOptions { SchemaRegistry = new SchemaRegistry() };
            var whole = new JsonObject
            {
                ["$schema"] = "https://json-schema.org/draft/2020-12/schema",
                ["$id"] = DocumentId,
                ["$defs"] = document["components"]!["schemas"]!.DeepClone()
            };
            JsonSchema.FromText(Absolute(whole), options);
            building = options;
        }
        finally
        {
            Loading.Release();
        }
    }

    private static void Check(string operation, int status, string media, string text)
    {
        var schema = Schemas.GetOrAdd($"{operation} {status} {media}", _ => Find(operation, status, media));
        Assert.True(schema is not null, $"{operation} answered {status} {media}, which the document does not know.");
        using var body = JsonDocument.Parse(text);
        var result = schema.Evaluate(body.RootElement, new EvaluationOptions { OutputFormat = OutputFormat.List });
        Interlocked.Increment(ref count);
        if (result.IsValid) return;
        var wrong = (result.Details ?? []).Where(d => d.Errors is not null).Take(5).Select(d => $"{d.InstanceLocation} {string.Join(", ", d.Errors!.Values)}");
        Assert.Fail($"{operation} {status}: {text}\ndiffers from the document: {string.Join("; ", wrong)}");
    }

    /// <summary>True when the document takes such a body; null where it knows of none.</summary>
    public async Task<bool?> Takes(string operation, string contentType, JsonElement body)
    {
        await Load(TestContext.Current.CancellationToken);
        var schema = Schemas.GetOrAdd(
            $"{operation} takes {contentType}", _ => Build(OperationOf(operation)["requestBody"]?["content"]?[contentType]?["schema"]));
        return schema?.Evaluate(body).IsValid;
    }

    private static JsonSchema? Find(string operation, int status, string media)
    {
        var responses = OperationOf(operation)["responses"]!.AsObject();
        return Build((responses[$"{status}"] ?? responses["default"])?["content"]?[media]?["schema"]);
    }

    private static JsonSchema? Build(JsonNode? schema)
    {
        if (schema is null) return null;
        lock (Schemas) return JsonSchema.FromText(Absolute(schema), building!);
    }

    private static JsonNode OperationOf(string operation) =>
        document!["paths"]!.AsObject().SelectMany(p => p.Value!.AsObject()).Select(o => o.Value!).Single(o => (string?)o["operationId"] == operation);

    private static string Absolute(JsonNode schema) =>
        schema.ToJsonString().Replace("\"#/components/schemas/", $"\"{DocumentId}#/$defs/", StringComparison.Ordinal);
}
