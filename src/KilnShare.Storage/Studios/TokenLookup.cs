using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Storage.Studios;

/// <summary>Whom a token speaks for.</summary>
/// <param name="MemberId">The member.</param>
/// <param name="TokenId">The token.</param>
/// <param name="Name">The member's name.</param>
/// <param name="Role">What the member may do.</param>
public sealed record TokenHolder(Id<Member> MemberId, Id<AccessToken> TokenId, string Name, Role Role);

/// <summary>Finds the holder of a token, at each request anew: a revocation counts at once.</summary>
public sealed class TokenLookup(KilnShareDb db)
{
    private static readonly Func<KilnShareDb, Id<Studio>, byte[], CancellationToken, Task<Found?>> Query =
        EF.CompileAsyncQuery((KilnShareDb db, Id<Studio> studio, byte[] hash, CancellationToken cancellation) =>
            (from token in db.Set<AccessToken>()
             join member in db.Set<Member>() on new { token.StudioId, Id = token.MemberId } equals new { member.StudioId, member.Id }
             where token.StudioId == studio && token.Hash == hash && token.RevokedAt == null && member.ArchivedAt == null
             select new Found(member.Id, token.Id, member.Name, member.Role, token.ExpiresAt)).FirstOrDefault());

    /// <summary>The holder of a good token; null for any other.</summary>
    public async Task<TokenHolder?> Find(Id<Studio> studio, byte[] hash, Instant now, CancellationToken cancellation) =>
        await Query(db, studio, hash, cancellation) is { } found && (found.ExpiresAt is null || now < found.ExpiresAt)
            ? new TokenHolder(found.MemberId, found.TokenId, found.Name, found.Role) : null;

    private sealed record Found(Id<Member> MemberId, Id<AccessToken> TokenId, string Name, Role Role, Instant? ExpiresAt);
}
