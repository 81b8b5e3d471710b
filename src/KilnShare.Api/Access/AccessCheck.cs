using System.Security.Cryptography;
using System.Text;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using KilnShare.Storage.Studios;
using NodaTime;

namespace KilnShare.Api.Access;

/// <summary>The installation's own token, which makes studios; only its SHA-256 is kept in memory.</summary>
/// <param name="Hash">SHA-256 of its text; null: no studio can be made here.</param>
public sealed record InstallationToken(byte[]? Hash);

/// <summary>Lets a request through to its handler only as <see cref="AccessTable"/> says.</summary>
public sealed class AccessCheck(RequestDelegate next, InstallationToken installation, IClock clock)
{
    private const string Scheme = "Bearer ";

    /// <summary>Answers 401, 403 or 404, or calls the handler with a <see cref="Caller"/>.</summary>
    public async Task InvokeAsync(HttpContext context, CurrentStudio studio, TokenLookup tokens)
    {
        if (context.GetEndpoint()?.Metadata.GetMetadata<IEndpointNameMetadata>() is not { } operation)
        {
            await next(context);
            return;
        }

        var access = AccessTable.Rows[operation.EndpointName];
        var refusal = access switch
        {
            { NeedsInstallation: true } => IsInstallation(TokenOf(context)) ? null : Unauthorized(context),
            { Least: { } least } => await AdmitMember(context, least, studio, tokens),
            _ => null,
        };
        await (refusal is null ? next(context) : refusal.ExecuteAsync(context));
    }

    private async Task<IResult?> AdmitMember(HttpContext context, Role least, CurrentStudio studio, TokenLookup tokens)
    {
        var token = TokenOf(context);
        if (token is null || AccessToken.ReadStudio(token) is not { } named) return Unauthorized(context);
        studio.Id = named;
        if (await tokens.Find(named, AccessToken.HashOf(token), clock.GetCurrentInstant(), context.RequestAborted) is not { } found)
        {
            studio.Id = null;
            return Unauthorized(context);
        }

        context.Features.Set(new Caller(named, found.MemberId, found.TokenId, found.Name, found.Role));
        if (IsAnotherStudio(context, named)) return Problems.Absent();
        return found.Role <= least ? null : Problems.Of(new Refusal(
            RefusalKind.Forbidden, "access.role", $"This takes the role {Word(least)} or more; you are {Word(found.Role)}. Ask the studio's owner."));
    }

    private static bool IsAnotherStudio(HttpContext context, Id<Studio> own) =>
        context.GetRouteValue("studioId") is string asked && (!Guid.TryParseExact(asked, "D", out var id) || id != own.Value);

    private bool IsInstallation(string? token) =>
        token is not null && installation.Hash is not null
        && CryptographicOperations.FixedTimeEquals(SHA256.HashData(Encoding.UTF8.GetBytes(token)), installation.Hash);

    private static string? TokenOf(HttpContext context)
    {
        var header = context.Request.Headers.Authorization.ToString();
        return header.StartsWith(Scheme, StringComparison.OrdinalIgnoreCase) ? header[Scheme.Length..].Trim() : null;
    }

    private static IResult Unauthorized(HttpContext context)
    {
        context.Response.Headers.WWWAuthenticate = "Bearer realm=\"kilnshare\"";
        return Problems.Answer(
            401, "access.token", "Send a good token: Authorization: Bearer ks_…. It may be missing, wrong, expired or revoked; the studio's owner can make another.", null, null, null);
    }

    private static string Word(Role role) => EnumWord<Role>.Of(role);
}
