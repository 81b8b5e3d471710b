using System.Text.Json;
using System.Text.RegularExpressions;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Document;

/// <summary>Keeps the first request and the first good answer of each operation.</summary>
public sealed partial class Recorder : DelegatingHandler
{
    private readonly Dictionary<string, string> kept = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> ids = new(StringComparer.Ordinal);

    /// <summary>What is kept, by name: operation.request or operation.status. Ids, secrets and times are the same each time.</summary>
    public IReadOnlyDictionary<string, string> Kept => kept;

    /// <summary>The request kept of an operation.</summary>
    public string? Request(string operation) => kept.GetValueOrDefault(operation + ".request");

    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        var asked = request.Content is null ? null : await request.Content.ReadAsStringAsync(cancellationToken);
        var response = await base.SendAsync(request, cancellationToken);
        if (!response.Headers.Contains(OperationHeader.Name)) throw new InvalidOperationException(
            request.RequestUri + " " + (int)response.StatusCode + " " + await response.Content.ReadAsStringAsync(cancellationToken));
        var operation = response.Headers.GetValues(OperationHeader.Name).Single();
        if (asked is not null)
            kept.TryAdd(operation + ".request", Tidy(request.Content!.Headers.ContentType?.MediaType == "text/csv" ? JsonSerializer.Serialize(asked) : asked));
        var answered = await response.Content.ReadAsStringAsync(cancellationToken);
        if (answered.Length > 0 && response.Content.Headers.ContentType?.MediaType?.EndsWith("json", StringComparison.Ordinal) == true)
            kept.TryAdd($"{operation}.{(int)response.StatusCode}", Tidy(answered));
        return response;
    }

    private string Tidy(string json)
    {
        json = UuidPattern()
            .Replace(json, m => ids.TryGetValue(m.Value, out var known) ? known : ids[m.Value] = $"0195a1c0-0000-7000-8000-{ids.Count + 1:x12}");
        json = SecretPattern().Replace(json, "$1_shown-this-once");
        json = ServiceTimePattern().Replace(json, "\"$1\":\"2027-03-14T08:30:00Z\"");
        json = TracePattern().Replace(json, "\"traceId\":\"4bf0c1d2e3a49586b7c8d9e0f1a2b3c4\"");
        return ElapsedPattern().Replace(json, "\"elapsedMs\":1");
    }

    [GeneratedRegex("[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")]
    private static partial Regex UuidPattern();

    [GeneratedRegex("(k[si])_[A-Za-z0-9_-]{40,}")]
    private static partial Regex SecretPattern();

    [GeneratedRegex(
        "\"(at|changedAt|saidAt|correctedAt|struckAt|offeredAt|markedAt|leftAt|createdAt|litAt|unloadedAt|settledAt|revokedAt|writtenAt|checkedAt|startedAt|"
        + "firstAt|lastAt|peakAt|madeAt|closedAt|finishAt|estimatedFinishAt|finishesAt|asOf|targetDownAt|reservedUntil|scheduleEndsAt)\":\"[^\"]+\"")]
    private static partial Regex ServiceTimePattern();

    [GeneratedRegex("\"traceId\":\"[^\"]*\"")]
    private static partial Regex TracePattern();

    [GeneratedRegex("\"elapsedMs\":[0-9]+")]
    private static partial Regex ElapsedPattern();
}
