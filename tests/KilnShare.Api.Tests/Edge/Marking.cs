using System.Collections.Concurrent;
using System.Text;
using System.Text.Json.Nodes;

namespace KilnShare.Api.Tests.Edge;

/// <summary>Puts a mark into every text that a studio writes, and keeps what was asked and answered.</summary>
internal sealed class Marking(string mark, ConcurrentQueue<Asked> asked) : DelegatingHandler
{
    private static readonly HashSet<string> Texts = new(StringComparer.Ordinal)
    {
        "name", "ownerName", "mark", "label", "note", "reason", "what", "rack", "where", "expansionMethod", "presentAtEnd", "outOfServiceReason", "purpose",
            "level", "outsideMaterial", "batch",
    };

    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        var written = request.Content is null ? null : await request.Content.ReadAsStringAsync(cancellationToken);
        var type = request.Content?.Headers.ContentType?.MediaType;
        // A table is marked in a column's name.
        if (type == "text/csv")
            request.Content = new StringContent(written!.Replace("Set point", $"Set point {mark}", StringComparison.Ordinal), Encoding.UTF8, type);
        // A calculation belongs to no studio, and keeps nothing.
        else if (written is { Length: > 0 } && !request.RequestUri!.AbsolutePath.StartsWith("/v1/calculations", StringComparison.Ordinal)
            && JsonNode.Parse(written) is { } body)
            request.Content = new StringContent(Mark(body).ToJsonString(), Encoding.UTF8, type!);

        var response = await base.SendAsync(request, cancellationToken);
        await response.Content.LoadIntoBufferAsync(cancellationToken);
        asked.Enqueue(new Asked(request.Method, request.RequestUri!.PathAndQuery, written, type, (int)response.StatusCode, Encoding.UTF8.GetString(
            await response.Content.ReadAsByteArrayAsync(cancellationToken))));
        return response;
    }

    private JsonNode Mark(JsonNode node)
    {
        if (node is JsonObject fields)
        {
            foreach (var (name, value) in fields.ToList())
            {
                if (Texts.Contains(name) && value is JsonValue text && text.TryGetValue<string>(out var plain)) fields[name] = $"{mark} {plain}";
                else if (value is not null) Mark(value);
            }
        }
        else if (node is JsonArray list)
        {
            foreach (var item in list) if (item is not null) Mark(item);
        }

        return node;
    }
}

/// <summary>A request as it was before it was marked, and its answer.</summary>
internal sealed record Asked(HttpMethod Method, string Path, string? Body, string? ContentType, int Status, string Answer);
