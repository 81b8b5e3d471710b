using System.Buffers;
using System.Text.Json;
using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Common;

/// <summary>A JSON merge patch (RFC 7396): fields to change; null takes a field away; lists are replaced whole.</summary>
public sealed class MergePatch
{
    /// <summary>Its media type.</summary>
    public const string MediaType = "application/merge-patch+json";

    private static readonly JsonDocumentOptions Strict = new() { MaxDepth = Json.MaxDepth, AllowDuplicateProperties = false };
    private readonly byte[] utf8;

    private MergePatch(byte[] utf8) => this.utf8 = utf8;

    /// <summary>Takes the patch from the request, for handlers.</summary>
    /// <exception cref="BadHttpRequestException">It is of another media type.</exception>
    public static async ValueTask<MergePatch> BindAsync(HttpContext context)
    {
        if (!MediaTypeHeaderValue.TryParse(context.Request.ContentType, out var type) || type.MediaType != MediaType)
            throw new BadHttpRequestException("Not a merge patch.", StatusCodes.Status415UnsupportedMediaType);
        using var body = new MemoryStream();
        await context.Request.BodyReader.CopyToAsync(body, context.RequestAborted);
        return new MergePatch(body.ToArray());
    }

    /// <summary>The contract with the patch put onto it, read as strictly as any body.</summary>
    /// <exception cref="JsonException">The patch, or what it makes of the contract, is not what the contract takes.</exception>
    public T MergeInto<T>(T contract)
    {
        using var patch = Parse(utf8);
        if (patch.RootElement.ValueKind != JsonValueKind.Object) throw new JsonException("A merge patch is an object.");
        using var target = JsonDocument.Parse(JsonSerializer.SerializeToUtf8Bytes(contract, Json.Options));
        var merged = new ArrayBufferWriter<byte>();
        using (var writer = new Utf8JsonWriter(merged)) Merge(writer, target.RootElement, patch.RootElement);
        return JsonSerializer.Deserialize<T>(merged.WrittenSpan, Json.Options) ?? throw new JsonException("A merge patch is an object.");
    }

    private static JsonDocument Parse(byte[] utf8)
    {
        try
        {
            var document = JsonDocument.Parse(utf8, Strict);
            Visit(document.RootElement);
            return document;
        }
        catch (InvalidOperationException e)
        {
            // Escapes that are half a character are found only where text is read.
            throw new JsonException("A text is not well formed.", e);
        }
    }

    private static void Visit(JsonElement element)
    {
        switch (element.ValueKind)
        {
            case JsonValueKind.Object:
                foreach (var property in element.EnumerateObject())
                {
                    _ = property.Name;
                    Visit(property.Value);
                }

                break;
            case JsonValueKind.Array:
                foreach (var item in element.EnumerateArray()) Visit(item);
                break;
            case JsonValueKind.String:
                element.GetString();
                break;
        }
    }

    private static void Merge(Utf8JsonWriter writer, JsonElement? target, JsonElement patch)
    {
        writer.WriteStartObject();
        var old = target is { ValueKind: JsonValueKind.Object } ? target.Value : (JsonElement?)null;
        if (old is { } kept)
        {
            foreach (var property in kept.EnumerateObject())
            {
                if (!patch.TryGetProperty(property.Name, out _)) property.WriteTo(writer);
            }
        }

        foreach (var property in patch.EnumerateObject())
        {
            if (property.Value.ValueKind == JsonValueKind.Null) continue;
            if (property.Value.ValueKind != JsonValueKind.Object)
            {
                property.WriteTo(writer);
                continue;
            }

            writer.WritePropertyName(property.Name);
            Merge(writer, old is { } o && o.TryGetProperty(property.Name, out var inner) ? inner : null, property.Value);
        }

        writer.WriteEndObject();
    }
}
