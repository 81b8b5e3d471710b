using System.Security.Cryptography;
using System.Text;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;

namespace KilnShare.Api.Access;

/// <summary>The installation's own token, which makes studios; only its SHA-256 is kept in memory.</summary>
/// <param name="Hash">SHA-256 of its text; null: no studio can be made here.</param>
public sealed record InstallationToken(byte[]? Hash);

/// <summary>Lets a request through to its handler only as <see cref="AccessTable"/> says.</summary>
public sealed class AccessCheck(RequestDelegate next, InstallationToken installation)
{
    /// <summary>Answers 401, 403 or 404, or calls the handler.</summary>
    public async Task InvokeAsync(HttpContext context)
    {
        var refusal = AccessTable.RowOf(context) switch
        {
            { NeedsInstallation: true } => IsInstallation(CallerLookup.TokenOf(context)) ? null : Unauthorized(context),
            { Least: { } least } => Admit(context, least),
            _ => null,
        };
        await (refusal is null ? next(context) : refusal.ExecuteAsync(context));
    }

    private static IResult? Admit(HttpContext context, Role least)
    {
        if (context.Features.Get<Caller>() is not { } caller) return Unauthorized(context);
        if (IsAnotherStudio(context, caller.StudioId)) return Problems.Absent();
        return caller.Role <= least ? null : Problems.Of(new Refusal(
            RefusalKind.Forbidden, "access.role", $"This takes the role {Word(least)} or more; you are {Word(caller.Role)}. Ask the studio's owner."));
    }

    private static bool IsAnotherStudio(HttpContext context, Id<Studio> own) =>
        context.GetRouteValue("studioId") is string asked && (!Guid.TryParseExact(asked, "D", out var id) || id != own.Value);

    private bool IsInstallation(string? token) =>
        token is not null && installation.Hash is not null
        && CryptographicOperations.FixedTimeEquals(SHA256.HashData(Encoding.UTF8.GetBytes(token)), installation.Hash);

    private static IResult Unauthorized(HttpContext context)
    {
        context.Response.Headers.WWWAuthenticate = "Bearer realm=\"kilnshare\"";
        return Problems.Answer(
            401, "access.token", "Send a good token: Authorization: Bearer ks_…. It may be missing, wrong, expired or revoked; the studio's owner can make another.", null, null, null);
    }

    private static string Word(Role role) => EnumWord<Role>.Of(role);
}
