using KilnShare.Api.Hosting;
using KilnShare.Core.Common;
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

        var reads = HttpMethods.IsGet(context.Request.Method);
        try
        {
            if (await IsShutOut(context, named, AccessToken.HashOf(token), tokens, reads) is { } wait)
            {
                await Limits.Refuse(context, wait);
                return;
            }

            if (tokens.Holder is { } found)
            {
                db.Studio = named;
                context.Features.Set(new Caller(named, found.MemberId, found.TokenId, found.Name, found.Role) { StudioIsClosed = found.StudioIsClosed });
            }

            await next(context);
        }
        finally
        {
            if (reads) await tokens.LetGo();
        }
    }

    /// <summary>Looks the token up; how long to wait where its address is shut and it was not found good.</summary>
    private async Task<TimeSpan?> IsShutOut(HttpContext context, Id<Studio> named, byte[] hash, TokenLookup tokens, bool reads)
    {
        var address = context.Connection.RemoteIpAddress;
        var isShut = guesses.IsShut(address, hash, out var wait);
        using var turn = isShut ? await guesses.Turn(hash, context.RequestAborted) : null;
        if (isShut && turn is null) return wait;
        var ahead = reads ? RowAsked.By(context) : null;
        if (await tokens.Find(named, hash, clock.GetCurrentInstant(), reads, ahead, context.RequestAborted) is not null) guesses.Right(hash);
        else guesses.Wrong(address, hash);
        return isShut && tokens.Holder is null ? wait : null;
    }

    /// <summary>The token of a request; null where there is none.</summary>
    public static string? TokenOf(HttpContext context)
    {
        var header = context.Request.Headers.Authorization.ToString();
        return header.StartsWith(Scheme, StringComparison.OrdinalIgnoreCase) ? header[Scheme.Length..].Trim() : null;
    }
}
