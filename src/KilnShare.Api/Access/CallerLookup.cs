using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using KilnShare.Storage.Studios;
using NodaTime;

namespace KilnShare.Api.Access;

/// <summary>Finds out who asks, before anything is limited or refused.</summary>
public sealed class CallerLookup(RequestDelegate next, IClock clock)
{
    private const string Scheme = "Bearer ";

    /// <summary>Leaves a <see cref="Caller"/> on the request where its token is good and a member is asked for.</summary>
    public async Task InvokeAsync(HttpContext context, CurrentStudio studio, TokenLookup tokens)
    {
        if (AccessTable.RowOf(context) is { Least: not null } && TokenOf(context) is { } token && AccessToken.ReadStudio(token) is { } named)
        {
            studio.Id = named;
            if (await tokens.Find(named, AccessToken.HashOf(token), clock.GetCurrentInstant(), HttpMethods.IsGet(context.Request.Method), context.RequestAborted) is { } found)
                context.Features.Set(new Caller(named, found.MemberId, found.TokenId, found.Name, found.Role));
            else
                studio.Id = null;
        }

        await next(context);
    }

    /// <summary>The token of a request; null where there is none.</summary>
    public static string? TokenOf(HttpContext context)
    {
        var header = context.Request.Headers.Authorization.ToString();
        return header.StartsWith(Scheme, StringComparison.OrdinalIgnoreCase) ? header[Scheme.Length..].Trim() : null;
    }
}
