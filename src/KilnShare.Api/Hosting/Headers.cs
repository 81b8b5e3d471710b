using KilnShare.Api.Common;

namespace KilnShare.Api.Hosting;

/// <summary>Headers that every answer carries.</summary>
internal static class Headers
{
    private const string ForData = "default-src 'none'; frame-ancestors 'none'";
    private const string ForPages = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; "
        + "frame-ancestors 'none'";

    /// <summary>Sets them when the answer begins, so that no error handler clears them.</summary>
    public static Task Set(HttpContext context, RequestDelegate next)
    {
        context.Response.OnStarting(() =>
        {
            var headers = context.Response.Headers;
            headers.XContentTypeOptions = "nosniff";
            if (headers.CacheControl != WholeAnswers.Unkept) headers.CacheControl = "private, no-cache";
            headers.Vary = "Accept, Accept-Encoding, Authorization, Origin";
            if (headers.ContentSecurityPolicy.Count == 0)
                headers.ContentSecurityPolicy = context.Request.Path.StartsWithSegments("/docs", StringComparison.OrdinalIgnoreCase) ? ForPages : ForData;
            headers["Referrer-Policy"] = "no-referrer";
            headers["Cross-Origin-Resource-Policy"] = "same-origin";
            headers.Remove("Pragma");
            headers.Remove("Expires");
            return Task.CompletedTask;
        });
        return next(context);
    }
}
