using System.Buffers.Text;
using System.Globalization;
using System.Security.Cryptography;
using System.Text.Json;
using Microsoft.AspNetCore.Http.Json;
using Microsoft.Extensions.Options;
using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Common;

/// <summary>
/// An aggregate's version and its answer's hash as a strong ETag, <c>"version.hash"</c>. An edit goes by the version alone; a reader's copy is good
/// only while the whole answer is the same, which may change with other things, and differ from reader to reader, at one version.
/// </summary>
public static class Versions
{
    private const int HashBytes = 9;

    /// <summary>Answers 200 with the ETag of this answer, or 304 to a reader who has it already.</summary>
    public static IResult Ok<T>(HttpContext context, T body, long version)
    {
        var tag = Tag(context, body, version);
        context.Response.Headers.ETag = tag;
        var reads = HttpMethods.IsGet(context.Request.Method) || HttpMethods.IsHead(context.Request.Method);
        return reads && Read(context.Request.Headers.IfNoneMatch).Any(t => t.Equals(EntityTagHeaderValue.Any) || t.Compare(new EntityTagHeaderValue(tag), useStrongComparison: false))
            ? Results.StatusCode(304) : TypedResults.Ok(body);
    }

    /// <summary>Answers 201 with the ETag of this answer and where the thing is.</summary>
    public static IResult Created<T>(HttpContext context, string path, T body, long version)
    {
        context.Response.Headers.ETag = Tag(context, body, version);
        return TypedResults.Created(path, body);
    }

    /// <summary>Refuses an edit that names no version (428) or an old one (412).</summary>
    public static IResult? Check(HttpContext context, long version)
    {
        var asked = context.Request.Headers.IfMatch;
        if (asked.Count == 0)
            return Problems.Answer(428, "request.if-match-missing", "Send If-Match with the ETag that you last read, so that nobody's change is overwritten.", null, null, null);
        return Read(asked).Any(t => t.Equals(EntityTagHeaderValue.Any) || (!t.IsWeak && IsOf(t, version))) ? null : Stale();
    }

    /// <summary>The asker's copy is old.</summary>
    public static IResult Stale() => Problems.Answer(
        412, "request.stale", "It was changed since you read it. Read it again, then send your change with the new ETag.", null, null, null);

    private static IList<EntityTagHeaderValue> Read(Microsoft.Extensions.Primitives.StringValues header) =>
        EntityTagHeaderValue.TryParseList(header.ToArray()!, out var tags) ? tags : [];

    private static bool IsOf(EntityTagHeaderValue tag, long version)
    {
        var text = tag.Tag.AsSpan().Trim('"');
        var dot = text.IndexOf('.');
        return (dot < 0 ? text : text[..dot]).SequenceEqual(version.ToString(CultureInfo.InvariantCulture));
    }

    private static string Tag<T>(HttpContext context, T body, long version)
    {
        var options = context.RequestServices.GetRequiredService<IOptions<JsonOptions>>().Value.SerializerOptions;
        var hash = SHA256.HashData(JsonSerializer.SerializeToUtf8Bytes(body, options));
        return string.Create(CultureInfo.InvariantCulture, $"\"{version}.{Base64Url.EncodeToString(hash.AsSpan(0, HashBytes))}\"");
    }
}
