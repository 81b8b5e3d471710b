using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;

namespace KilnShare.Api.Tests.Common;

/// <summary>An answer with its body read.</summary>
public sealed record Reply(HttpStatusCode Status, HttpResponseHeaders Headers, string? ContentType, string Text)
{
    /// <summary>The methods that the Allow header lists.</summary>
    public IReadOnlyCollection<string> Allow { get; init; } = [];

    /// <summary>The body as JSON.</summary>
    public JsonElement Body =>
        Text.Length == 0 || ContentType?.Contains("json", StringComparison.Ordinal) != true ? default : JsonDocument.Parse(Text).RootElement.Clone();

    /// <summary>The code of a problem document.</summary>
    public string? Code => Body.ValueKind == JsonValueKind.Object && Body.TryGetProperty("code", out var code) ? code.GetString() : null;

    /// <summary>The pointer of a problem document.</summary>
    public string? Pointer => Body.ValueKind == JsonValueKind.Object && Body.TryGetProperty("pointer", out var pointer) ? pointer.GetString() : null;

    /// <summary>This answer, or a failed test when the status is another.</summary>
    public Reply Expect(HttpStatusCode status)
    {
        Assert.True(Status == status,
            $"expected {(int)status}, got {(int)Status}: {Text}{(Status == HttpStatusCode.InternalServerError ? ErrorLog.Last : "")}");
        return this;
    }
}

/// <summary>Sends requests with one token.</summary>
public sealed class Caller(HttpClient client, string? token)
{
    /// <summary>The token.</summary>
    public string? Token => token;

    /// <summary>Sends a request; a POST gets a new Idempotency-Key unless one is given, or none with an empty one.</summary>
    public async Task<Reply> Send(
        HttpMethod method, string path, object? body = null, string? key = null, string contentType = "application/json", string? ifMatch = null)
    {
        using var request = new HttpRequestMessage(method, path);
        if (token is not null) request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        if (method == HttpMethod.Post && key != "") request.Headers.Add("Idempotency-Key", key ?? Guid.NewGuid().ToString());
        if (ifMatch is not null) request.Headers.TryAddWithoutValidation("If-Match", ifMatch);
        if (body is not null) request.Content = new StringContent(body as string ?? JsonSerializer.Serialize(body), Encoding.UTF8, contentType);
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        var reply = new Reply(
            response.StatusCode, response.Headers, response.Content.Headers.ContentType?.ToString(),
            await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken))
        {
            Allow = [.. response.Content.Headers.Allow],
        };
        PlainWords.Check(reply);
        return reply;
    }

    /// <summary>A file, as it came.</summary>
    public async Task<byte[]> Bytes(string path)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, path);
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        var file = await response.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken);
        Assert.True(response.IsSuccessStatusCode, $"{path}: {(int)response.StatusCode}");
        if (Environment.GetEnvironmentVariable("KILNSHARE_TEST_PICTURES") is { Length: > 0 } folder)
            await File.WriteAllBytesAsync(Path.Combine(folder, path.Split('?')[0].Split('/')[^1]), file, TestContext.Current.CancellationToken);
        return file;
    }

    public Task<Reply> Get(string path) => Send(HttpMethod.Get, path);

    public Task<Reply> Post(string path, object? body = null, string? key = null) => Send(HttpMethod.Post, path, body, key);

    public Task<Reply> Put(string path, object body, string? ifMatch = null) => Send(HttpMethod.Put, path, body, ifMatch: ifMatch);

    /// <summary>Sends a merge patch.</summary>
    public Task<Reply> Patch(string path, object patch, string? ifMatch = null) =>
        Send(HttpMethod.Patch, path, patch, contentType: "application/merge-patch+json", ifMatch: ifMatch);

    public Task<Reply> Delete(string path, string? ifMatch = null) => Send(HttpMethod.Delete, path, ifMatch: ifMatch);

    /// <summary>The ETag of what is there now.</summary>
    public async Task<string> Tag(string path) => (await Get(path)).Expect(HttpStatusCode.OK).Headers.ETag!.ToString();
}
