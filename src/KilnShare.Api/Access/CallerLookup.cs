using KilnShare.Api.Hosting;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Studios;
using NodaTime;

namespace KilnShare.Api.Access;

/// <summary>Finds out who asks, before anything is limited or refused.</summary>
public sealed class CallerLookup(RequestDelegate next, TokenGuesses guesses, IClock clock)
{
    private const string Scheme = "Bearer ";

    /// <summary>Leaves a <see cref="Caller"/> on the request where its token is good and a member is asked for.</summary>
    public async Task InvokeAsync(HttpContext context, KilnShareDb db, TokenLookup tokens)
    {
        if (AccessTable.RowOf(context) is not { Least: not null } || TokenOf(context) is not { } token || AccessToken.ReadStudio(token) is not { } named)
        {
            await next(context);
            return;
        }

        var hash = AccessToken.HashOf(token);
        if (guesses.IsShut(context.Connection.RemoteIpAddress, hash, out var wait))
        {
            await Limits.Refuse(context, wait);
            return;
        }

        var reads = HttpMethods.IsGet(context.Request.Method);
        try
        {
            if (await tokens.Find(named, hash, clock.GetCurrentInstant(), reads, reads ? RowAsked.By(context) : null, context.RequestAborted) is { } found)
            {
                db.Studio = named;
                context.Features.Set(new Caller(named, found.MemberId, found.TokenId, found.Name, found.Role) { StudioIsClosed = found.StudioIsClosed });
                guesses.Right(hash);
            }
            else
            {
                guesses.Wrong(context.Connection.RemoteIpAddress);
            }

            await next(context);
        }
        finally
        {
            if (reads) await tokens.LetGo();
        }
    }

    /// <summary>The token of a request; null where there is none.</summary>
    public static string? TokenOf(HttpContext context)
    {
        var header = context.Request.Headers.Authorization.ToString();
        return header.StartsWith(Scheme, StringComparison.OrdinalIgnoreCase) ? header[Scheme.Length..].Trim() : null;
    }
}
