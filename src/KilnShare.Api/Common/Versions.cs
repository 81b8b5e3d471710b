using System.Globalization;

namespace KilnShare.Api.Common;

/// <summary>An aggregate's version as a strong ETag.</summary>
public static class Versions
{
    /// <summary>Answers 200 with the ETag of the version.</summary>
    public static IResult Ok<T>(HttpContext context, T body, long version)
    {
        context.Response.Headers.ETag = Tag(version);
        return context.Request.Headers.IfNoneMatch == Tag(version) ? Results.StatusCode(304) : TypedResults.Ok(body);
    }

    /// <summary>Answers 201 with the ETag of the version and where the thing is.</summary>
    public static IResult Created<T>(HttpContext context, string path, T body, long version)
    {
        context.Response.Headers.ETag = Tag(version);
        return TypedResults.Created(path, body);
    }

    private static string Tag(long version) => string.Create(CultureInfo.InvariantCulture, $"\"{version}\"");
}
