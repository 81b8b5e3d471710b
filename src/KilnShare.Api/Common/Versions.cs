using System.Globalization;
using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Common;

/// <summary>An aggregate's version as a strong ETag.</summary>
public static class Versions
{
    /// <summary>Answers 200 with the ETag of the version, or 304 to a reader who has it already.</summary>
    public static IResult Ok<T>(HttpContext context, T body, long version)
    {
        context.Response.Headers.ETag = Tag(version);
        var reads = HttpMethods.IsGet(context.Request.Method) || HttpMethods.IsHead(context.Request.Method);
        return reads && Names(context.Request.Headers.IfNoneMatch, version, strong: false) ? Results.StatusCode(304) : TypedResults.Ok(body);
    }

    /// <summary>Answers 201 with the ETag of the version and where the thing is.</summary>
    public static IResult Created<T>(HttpContext context, string path, T body, long version)
    {
        context.Response.Headers.ETag = Tag(version);
        return TypedResults.Created(path, body);
    }

    /// <summary>Refuses an edit that names no version (428) or an old one (412).</summary>
    public static IResult? Check(HttpContext context, long version)
    {
        var asked = context.Request.Headers.IfMatch;
        if (asked.Count == 0)
            return Problems.Answer(428, "request.if-match-missing", "Send If-Match with the ETag that you last read, so that nobody's change is overwritten.", null, null, null);
        return Names(asked, version, strong: true) ? null : Stale();
    }

    /// <summary>The asker's copy is old.</summary>
    public static IResult Stale() => Problems.Answer(
        412, "request.stale", "It was changed since you read it. Read it again, then send your change with the new ETag.", null, null, null);

    private static bool Names(Microsoft.Extensions.Primitives.StringValues header, long version, bool strong)
    {
        var own = new EntityTagHeaderValue(Tag(version));
        return EntityTagHeaderValue.TryParseList(header.ToArray()!, out var tags)
            && tags.Any(t => t.Equals(EntityTagHeaderValue.Any) || t.Compare(own, strong));
    }

    private static string Tag(long version) => string.Create(CultureInfo.InvariantCulture, $"\"{version}\"");
}
