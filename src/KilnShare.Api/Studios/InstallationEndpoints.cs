using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Studios;

/// <summary>What whoever runs the installation does for studios from outside.</summary>
public static class InstallationEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapInstallation(this RouteGroupBuilder v1)
    {
        var installation = v1.MapGroup("").WithTags("Studios");
        installation.MapPost("/installation-token", Rotate).WithName("rotateInstallationToken").Answers<InstallationTokenMade>(201).Refuses(409);
        installation.MapPost("/studios/{studioId:guid}/owner-tokens", MakeOwnerToken).WithName("createOwnerToken").Answers<OwnerTokenMade>(201).Refuses(422);
        installation.MapPut("/studios/{studioId:guid}/closure", Close).WithName("writeStudioClosure").Answers<StudioAnswer>();
    }

    /// <summary>Replace the installation's token</summary>
    /// <remarks>
    /// The token that asks counts no more, on every service over this database and after a restart too. Put the new one into the settings when it suits: it
    /// counts with the old settings as well.
    /// </remarks>
    private static async Task<IResult> Rotate(
        HttpContext context, KilnShareDb db, InstallationToken installation, IClock clock, CancellationToken cancellation) =>
        await installation.Rotate(db, CallerLookup.TokenOf(context)!, clock, cancellation) is { } token
            ? TypedResults.Created((string?)null, new InstallationTokenMade { Token = token })
            : Problems.Of(Refusal.Conflict(
                "access.rotated-meanwhile", "This token was replaced by another request just now. Use the token that one was answered.", null));

    /// <summary>Make an owner's token for a studio that lost its own</summary>
    /// <remarks>
    /// For the owner who has been there longest, or for the member who is named, or for a new owner. It is written in the studio's trail, and every owner
    /// is told by an event (studios.owner-token). The token is shown this once.
    /// </remarks>
    private static async Task<IResult> MakeOwnerToken(Guid studioId, OwnerTokenBody body, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await Enter(db, studioId, cancellation) is not { } studio) return Problems.Absent();
        var members = await db.Set<Member>().Where(m => m.StudioId == studio.StudioId && m.ArchivedAt == null).OrderBy(m => m.CreatedAt).ThenBy(m => m.Id)
            .ToListAsync(cancellation);
        if (!OwnerOf(studio, members, body, db, clock).TryGet(out var owner, out var refusal)) return Problems.Of(refusal);
        if (owner.Role != Role.Owner)
        {
            owner.Role = Role.Owner;
            owner.Version++;
        }

        var text = StudioEndpoints.AddToken(db, owner, "owner's token from the installation", null, clock, out var token);
        Trail.Note(db, studio.StudioId, null, "tokens.create-for-owner", token.Id.Value, clock, body.Reason);
        foreach (var told in members.Where(m => m.Role == Role.Owner).Append(owner).DistinctBy(m => m.Id))
            Trail.Note(db, studio.StudioId, null, "studios.owner-token", told.Id.Value, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created((string?)null, new OwnerTokenMade { Owner = MemberAnswer.Of(owner), Id = token.Id.Value, Token = text });
    }

    /// <summary>Close a studio, or open it again</summary>
    /// <remarks>
    /// A closed studio can be read by its members, and calculations and quotes are answered; tokens can be revoked. Everything else that writes is refused
    /// (403 studios.closed). Room that is kept for a while still runs out. Null as closedReason opens it again.
    /// </remarks>
    private static async Task<IResult> Close(
        Guid studioId, StudioClosureContract body, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await Enter(db, studioId, cancellation) is not { } studio) return Problems.Absent();
        studio.Close(body.ClosedReason, clock.GetCurrentInstant());
        studio.Version++;
        Trail.Note(db, studio.StudioId, null, body.ClosedReason is null ? "studios.reopen" : "studios.close", studioId, clock);
        try
        {
            await db.SaveChangesAsync(cancellation);
        }
        catch (DbUpdateConcurrencyException)
        {
            return await Close(studioId, body, context, Afresh(db), clock, cancellation);
        }

        return Versions.Ok(context, StudioAnswer.Of(studio), studio.Version);
    }

    /// <summary>The studio, with its rows in view; null where there is none.</summary>
    private static async Task<Studio?> Enter(KilnShareDb db, Guid studioId, CancellationToken cancellation)
    {
        var id = new Id<Studio>(studioId);
        db.Studio = id;
        return await db.Set<Studio>().SingleOrDefaultAsync(s => s.StudioId == id, cancellation);
    }

    private static KilnShareDb Afresh(KilnShareDb db)
    {
        db.ChangeTracker.Clear();
        return db;
    }

    private static Result<Member> OwnerOf(Studio studio, List<Member> members, OwnerTokenBody body, KilnShareDb db, IClock clock)
    {
        if (body.OwnerName is { } name) return StudioEndpoints.AddMember(db, studio.StudioId, name, Role.Owner, clock);
        if (body.MemberId is { } wanted)
            return members.Find(m => m.Id.Value == wanted) is { } member ? member
                : Refusal.Rule(
                    "studios.no-such-member", $"{studio.Name} has no such member now. Check the id, or name a new owner with ownerName.", "/memberId");
        return members.Find(m => m.Role == Role.Owner) is { } owner ? owner
            : Refusal.Rule(
                "studios.no-owner", $"{studio.Name} has no owner. Say who is to be one: a member with memberId, or somebody new with ownerName.", "/memberId");
    }
}
