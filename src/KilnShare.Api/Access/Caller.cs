using KilnShare.Core.Common;
using KilnShare.Core.Studios;

namespace KilnShare.Api.Access;

/// <summary>Who asks, as the token says.</summary>
/// <param name="StudioId">The studio.</param>
/// <param name="MemberId">The member.</param>
/// <param name="TokenId">The token.</param>
/// <param name="Name">The member's name.</param>
/// <param name="Role">What the member may do.</param>
public sealed record Caller(Id<Studio> StudioId, Id<Member> MemberId, Id<AccessToken> TokenId, string Name, Role Role)
{
    /// <summary>True where the studio was closed: it can only be read.</summary>
    public bool StudioIsClosed { get; init; }

    /// <summary>True for those who plan and fire.</summary>
    public bool Plans => Role <= Role.Technician;

    /// <summary>Takes the caller from the request, for handlers.</summary>
    /// <exception cref="InvalidOperationException">The route is open to callers without a token.</exception>
    public static ValueTask<Caller> BindAsync(HttpContext context) => ValueTask.FromResult(
        context.Features.Get<Caller>() ?? throw new InvalidOperationException("The route lets callers in without a token."));

    /// <summary>Refuses what is another member's, unless the caller plans for all.</summary>
    public Refusal? MayActFor(Id<Member> member) => member == MemberId || Plans ? null : new Refusal(
        RefusalKind.Forbidden, "access.not-yours", "That belongs to another member. Ask that member, or a technician.");
}
