using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Hosting;

/// <summary>Which pages of other origins may ask from a browser (CORS): those that the settings name, and none otherwise.</summary>
public static class Origins
{
    /// <summary>The setting: origins with commas between, as <c>https://studio.example,http://localhost:5173</c>.</summary>
    public const string Setting = "KILNSHARE_CORS_ORIGINS";

    private static readonly string[] Asked = [HeaderNames.Authorization, HeaderNames.ContentType, HeaderNames.IfMatch, HeaderNames.IfNoneMatch,
        "Idempotency-Key"];
    private static readonly string[] Told = [HeaderNames.ETag, HeaderNames.Location, HeaderNames.Link, HeaderNames.RetryAfter, HeaderNames.Allow,
        "Idempotent-Replayed", "Deprecation", "Sunset"];
    private static readonly TimeSpan Kept = TimeSpan.FromHours(2);

    /// <summary>Registers them.</summary>
    public static void AddOrigins(this IServiceCollection services) => services.AddCors();

    /// <summary>Answers what browsers ask beforehand, and tells them who may read the answer. Nothing where no origin is named.</summary>
    /// <exception cref="InvalidOperationException">The setting names something that is no origin.</exception>
    public static void UseOrigins(this WebApplication app)
    {
        var named = Read(app.Configuration[Setting]);
        if (named.Length == 0) return;
        // No cookies are read, so none are let through: a page asks with a token that it was given.
        app.UseCors(p => p.WithOrigins(named).WithHeaders(Asked).WithExposedHeaders(Told).WithMethods("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE")
            .SetPreflightMaxAge(Kept));
    }

    /// <summary>The origins that the setting names.</summary>
    /// <exception cref="InvalidOperationException">It names something that is no origin.</exception>
    public static string[] Read(string? setting)
    {
        var named = (setting ?? "").Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        foreach (var origin in named)
        {
            if (!Uri.TryCreate(origin, UriKind.Absolute, out var uri) || uri.Scheme is not ("http" or "https")
                || uri.GetLeftPart(UriPartial.Authority) != origin)
                throw new InvalidOperationException(
                    $"{Setting} takes origins with commas between, as https://studio.example,http://localhost:5173; {origin} is none.");
        }

        return named;
    }
}
