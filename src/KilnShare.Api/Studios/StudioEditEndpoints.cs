using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Studios;

/// <summary>Changing a studio and its members, and taking tokens back.</summary>
public static class StudioEditEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapStudioEdits(this RouteGroupBuilder studio)
    {
        var group = studio.MapGroup("").WithTags("Studios");
        group.MapPatch("", EditStudio).WithName("editStudio").Edits<StudioSettingsContract>().Answers<StudioAnswer>();
        group.MapPatch("/members/{memberId:guid}", EditMember).WithName("editMember").Edits<MemberBody>().Answers<MemberAnswer>().Refuses(409, 422);
        group.MapDelete("/members/{memberId:guid}", ArchiveMember).WithName("archiveMember").Archives().Refuses(409, 422);
        group.MapGet("/members/{memberId:guid}/tokens", ListTokens).WithName("listTokens").Answers<Page<TokenAnswer>>();
        group.MapDelete("/members/{memberId:guid}/tokens/{tokenId:guid}", RevokeToken).WithName("revokeToken").AnswersNothing();
    }

    /// <summary>Change the studio</summary>
    private static async Task<IResult> EditStudio(
        MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        var studio = await db.Set<Studio>().SingleAsync(s => s.StudioId == caller.StudioId, cancellation);
        var edit = await editing.Read<StudioSettingsContract>(context, studio, StudioAnswer.Of(studio), patch, cancellation);
        if (!edit.TryGet(out var body, out var refused)) return refused;
        Prices.TryRead(body.PerKwh, out var perKwh);
        (studio.Name, studio.TimeZone, studio.PerKwh) = (body.Name, body.TimeZone, perKwh);
        (studio.AllowsOvertaking, studio.AmountsShownTo) = (body.AllowsOvertaking, body.AmountsShownTo);
        return await editing.Save(context, caller, studio, studio.StudioId.Value, "studios.edit", () => StudioAnswer.Of(studio), cancellation);
    }

    /// <summary>Change a member's name or role</summary>
    /// <remarks>Counts from the member's next request.</remarks>
    private static async Task<IResult> EditMember(
        Guid memberId, MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await Find(db, caller, memberId, cancellation) is not { } member) return Problems.Absent();
        var edit = await editing.Read<MemberBody>(context, member, MemberAnswer.Of(member), patch, cancellation);
        if (!edit.TryGet(out var body, out var refused)) return refused;
        if (body.Role != Role.Owner && await IsLastOwner(db, member, cancellation)) return Problems.Of(LastOwner());
        (member.Name, member.Role) = (body.Name, body.Role);
        return await editing.Save(context, caller, member, memberId, "members.edit", () => MemberAnswer.Of(member), cancellation);
    }

    /// <summary>Let a member go</summary>
    /// <remarks>
    /// Refused while money is owed either way or ware is here, with both in values. With leaving=keep the member goes all the same: the tokens are refused
    /// from the next request, while balance, ware and bookings stay. Bookings are fired and charged as before; technicians may withdraw them, and owners
    /// and technicians read the statement.
    /// </remarks>
    private static async Task<IResult> ArchiveMember(
        Guid memberId, QueryWord<Leaving>? leaving, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        if (await Find(db, caller, memberId, cancellation) is not { } member) return Problems.Absent();
        if (await IsLastOwner(db, member, cancellation)) return Problems.Of(LastOwner());
        if (Versions.Check(context, member.Version) is { } stale) return stale;
        if (leaving is null && await MemberLeaving.Check(db, member, cancellation) is { } things) return Problems.Of(things);
        var answer = await editing.Archive(context, caller, member, memberId, "members.archive", cancellation);
        await writing.CommitAsync(cancellation);
        return answer;
    }

    /// <summary>List a member's tokens</summary>
    private static async Task<IResult> ListTokens(
        Guid memberId, Caller caller, HttpContext context, KilnShareDb db, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        if (await Find(db, caller, memberId, cancellation) is not { } member) return Problems.Absent();
        var start = new Id<AccessToken>(from);
        var rows = await db.Set<AccessToken>().AsNoTracking()
            .Where(t => t.StudioId == caller.StudioId && t.MemberId == member.Id && EF.Functions.GreaterThan(ValueTuple.Create(t.Id), ValueTuple.Create(start)))
            .OrderBy(t => t.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, t => t.Id.Value, TokenAnswer.Of);
    }

    /// <summary>Revoke a token</summary>
    /// <remarks>Refused from its next request. Revoking twice does no harm, and needs no If-Match: it must never fail in a hurry.</remarks>
    private static async Task<IResult> RevokeToken(
        Guid memberId, Guid tokenId, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<AccessToken>([caller.StudioId, new Id<AccessToken>(tokenId)], cancellation) is not { } token
            || token.MemberId.Value != memberId)
            return Problems.Absent();
        if (token.RevokedAt is null)
        {
            token.RevokedAt = clock.GetCurrentInstant();
            Trail.Note(db, caller.StudioId, caller.MemberId, "tokens.revoke", tokenId, clock);
            await db.SaveChangesAsync(cancellation);
        }

        return TypedResults.NoContent();
    }

    private static async Task<Member?> Find(KilnShareDb db, Caller caller, Guid memberId, CancellationToken cancellation) =>
        await db.FindAsync<Member>([caller.StudioId, new Id<Member>(memberId)], cancellation) is { ArchivedAt: null } member ? member : null;

    private static async Task<bool> IsLastOwner(KilnShareDb db, Member member, CancellationToken cancellation) => member.Role == Role.Owner
        && !await db.Set<Member>().AnyAsync(
            m => m.StudioId == member.StudioId && m.Id != member.Id && m.Role == Role.Owner && m.ArchivedAt == null, cancellation);

    private static Refusal LastOwner() => Refusal.Rule(
        "studios.last-owner", "This is the studio's only owner, and a studio without one could not be run. Make another member an owner first.", "/role");
}
