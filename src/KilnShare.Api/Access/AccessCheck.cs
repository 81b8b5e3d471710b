using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;

namespace KilnShare.Api.Access;

/// <summary>Lets a request through to its handler only as <see cref="AccessTable"/> says.</summary>
public sealed class AccessCheck(RequestDelegate next, InstallationToken installation)
{
    /// <summary>Answers 401, 403 or 404, or calls the handler.</summary>
    public async Task InvokeAsync(HttpContext context, KilnShareDb db)
    {
        var refusal = AccessTable.RowOf(context) switch
        {
            { NeedsInstallation: true } =>
                await installation.Is(db, CallerLookup.TokenOf(context), context.RequestAborted) ? MalformedId(context) : Unauthorized(context),
            { Least: { } least } => Admit(context, least),
            _ => null,
        };
        await (refusal is null ? next(context) : refusal.ExecuteAsync(context));
    }

    private static IResult? Admit(HttpContext context, Role least)
    {
        if (context.Features.Get<Caller>() is not { } caller) return Unauthorized(context);
        if (MalformedId(context) is { } malformed) return malformed;
        if (IsAnotherStudio(context, caller.StudioId)) return Problems.Absent();
        if (caller.Role > least) return Problems.Of(new Refusal(
            RefusalKind.Forbidden, "access.role", $"This takes the role {Word(least)} or more; you are {Word(caller.Role)}. Ask the studio's owner."));
        return !caller.StudioIsClosed || AccessTable.IsOpenInClosedStudio(context) ? null : Problems.Of(new Refusal(
            RefusalKind.Forbidden, "studios.closed",
                "This studio is closed: what is written down can be read, and nothing more is written. Read the studio for the reason; whoever runs this "
                    + "service can open it again."));
    }

    private static bool IsAnotherStudio(HttpContext context, Id<Studio> own) =>
        context.GetRouteValue("studioId") is string asked && Guid.ParseExact(asked, "D") != own.Value;

    /// <summary>Says which id in the path is none; null where all are.</summary>
    private static IResult? MalformedId(HttpContext context)
    {
        var name = context.Request.RouteValues.FirstOrDefault(
            v => v.Key.EndsWith("Id", StringComparison.Ordinal) && v.Value is string text && !Guid.TryParseExact(text, "D", out _)).Key;
        return name is null ? null : Problems.Answer(
            400, "request.malformed-id",
                $"What stands in the path as {name} is no id. An id has 36 characters, hexadecimal digits in five groups with hyphens between. Take it "
                    + $"from an answer.", "/" + name, null, null);
    }

    private static IResult Unauthorized(HttpContext context)
    {
        context.Response.Headers.WWWAuthenticate = "Bearer realm=\"kilnshare\"";
        return Problems.Answer(
            401, "access.token",
                "Send a good token: Authorization: Bearer ks_…. It may be missing, wrong, expired or revoked; the studio's owner can make another.", null,
                null, null);
    }

    private static string Word(Role role) => EnumWord<Role>.Of(role);
}
