using System.Buffers;
using System.Buffers.Text;
using System.Globalization;
using System.Security.Cryptography;
using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Common;

/// <summary>
/// An aggregate's version and its answer's hash as a strong ETag, <c>"version.hash"</c>. An edit goes by the version alone; a reader's copy is good
/// only while the whole answer is the same, which may change with other things, and differ from reader to reader, at one version. What has no version
/// of its own (a list, a picture) has 0 in its place.
/// </summary>
public static class Versions
{
    private const int HashBytes = 9;

    private sealed record Answered(long Version);

    /// <summary>Answers 200 with a thing that has this version.</summary>
    public static IResult Ok<T>(HttpContext context, T body, long version)
    {
        context.Features.Set(new Answered(version));
        return TypedResults.Ok(body);
    }

    /// <summary>Answers 201 with a thing that has this version, and where it is.</summary>
    public static IResult Created<T>(HttpContext context, string path, T body, long version)
    {
        context.Features.Set(new Answered(version));
        return TypedResults.Created(path, body);
    }

    /// <summary>The version that this request answers with; null where what it answers has none.</summary>
    public static long? Answers(HttpContext context) => context.Features.Get<Answered>()?.Version;

    /// <summary>Says which version this request answers with; null: what it answers has none.</summary>
    public static void Answers(HttpContext context, long? version) =>
        context.Features.Set(version is { } answered ? new Answered(answered) : null);

    /// <summary>Writes the ETag of a good answer that is whole: of everything that is read, and of edits that answer with a thing and its version.</summary>
    /// <param name="context">The request.</param>
    /// <param name="body">The answer as it is before it is packed.</param>
    /// <param name="coding">How it is packed, since a strong ETag names the very bytes; null: not at all.</param>
    public static void Tag(HttpContext context, ReadOnlySequence<byte> body, string? coding)
    {
        if (context.Response.StatusCode is not (StatusCodes.Status200OK or StatusCodes.Status201Created)) return;
        var answered = context.Features.Get<Answered>();
        if (answered is null && !Reads(context.Request)) return;
        Span<byte> hash = stackalloc byte[SHA256.HashSizeInBytes];
        Hash(body, hash);
        context.Response.Headers.ETag = string.Create(
            CultureInfo.InvariantCulture, $"\"{answered?.Version ?? 0}.{Base64Url.EncodeToString(hash[..HashBytes])}{(coding is null ? "" : ".")}{coding}\"");
    }

    private static void Hash(ReadOnlySequence<byte> body, Span<byte> hash)
    {
        if (body.IsSingleSegment)
        {
            SHA256.HashData(body.FirstSpan, hash);
            return;
        }

        using var sum = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        foreach (var part in body) sum.AppendData(part.Span);
        sum.GetHashAndReset(hash);
    }

    /// <summary>True for a reader who has this very answer already.</summary>
    public static bool IsHeld(HttpContext context) =>
        Reads(context.Request) && context.Response.StatusCode == StatusCodes.Status200OK
        && context.Request.Headers.IfNoneMatch is { Count: > 0 } held && context.Response.Headers.ETag is { Count: 1 } tag
        && Read(held).Any(t => t.Equals(EntityTagHeaderValue.Any) || t.Compare(new EntityTagHeaderValue(tag.ToString()), useStrongComparison: false));

    /// <summary>Refuses an edit that names no version (428) or an old one (412).</summary>
    public static IResult? Check(HttpContext context, long version)
    {
        var asked = context.Request.Headers.IfMatch;
        if (asked.Count == 0)
            return Problems.Answer(
                428, "request.if-match-missing", "Send If-Match with the ETag that you last read, so that nobody's change is overwritten.", null, null, null);
        return Read(asked).Any(t => t.Equals(EntityTagHeaderValue.Any) || (!t.IsWeak && IsOf(t, version))) ? null : Stale(version);
    }

    /// <summary>The asker's copy is old.</summary>
    /// <param name="present">The version that is there now; null where it is gone.</param>
    public static IResult Stale(long? present) => Problems.Answer(
        412, "request.stale", "It was changed since you read it. Read it again, then send your change with the new ETag.", null, null,
        present is null ? null : new Dictionary<string, object?>(StringComparer.Ordinal) { ["version"] = present });

    private static bool Reads(HttpRequest request) => HttpMethods.IsGet(request.Method) || HttpMethods.IsHead(request.Method);

    private static IList<EntityTagHeaderValue> Read(Microsoft.Extensions.Primitives.StringValues header) =>
        EntityTagHeaderValue.TryParseList(header.ToArray()!, out var tags) ? tags : [];

    private static bool IsOf(EntityTagHeaderValue tag, long version)
    {
        var text = tag.Tag.AsSpan().Trim('"');
        var dot = text.IndexOf('.');
        return (dot < 0 ? text : text[..dot]).SequenceEqual(version.ToString(CultureInfo.InvariantCulture));
    }
}
