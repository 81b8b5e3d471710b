using System.Security.Cryptography;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Studios;

/// <summary>Studios, members, tokens, and who one is.</summary>
public static class StudioEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapStudios(this RouteGroupBuilder v1)
    {
        var studios = v1.MapGroup("").WithTags("Studios");
        studios.MapPost("/studios", Create).WithName("createStudio").Answers<StudioMade>(201);
        studios.MapGet("/me", Who).WithName("whoAmI").Answers<WhoAnswer>();
        studios.MapGet("/studios/{studioId}", Read).WithName("readStudio").Answers<StudioAnswer>();
        studios.MapPost("/studios/{studioId}/members", TakeIn).WithName("createMember").TakesKey().Answers<MemberAnswer>(201);
        studios.MapPost("/studios/{studioId}/members/batch", TakeInMany).WithName("createMembers").TakesKey().Answers<BatchAnswer<MemberAnswer>>().Refuses(422);
        studios.MapGet("/studios/{studioId}/members", ListMembers).WithName("listMembers").Answers<Page<MemberAnswer>>();
        studios.MapGet("/studios/{studioId}/members/{memberId:guid}", ReadMember).WithName("readMember").ReadsFirst<Member>("memberId").Answers<MemberAnswer>();
        studios.MapPost("/studios/{studioId}/members/{memberId:guid}/tokens", MakeToken).WithName("createToken").TakesKey(secret: "token")
            .Answers<TokenMade>(201);
    }

    /// <summary>Make a studio</summary>
    /// <remarks>Needs the installation's own token. Answers with the first owner's token, which is shown this once.</remarks>
    private static async Task<IResult> Create(
        StudioBody body, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var now = clock.GetCurrentInstant();
        Prices.TryRead(body.PerKwh, out var perKwh);
        var studio = new Studio(NewId.Of<Studio>(clock), body.Name, body.TimeZone, body.Currency, perKwh, now)
        {
            AllowsOvertaking = body.AllowsOvertaking,
            AmountsShownTo = body.AmountsShownTo,
        };
        db.Studio = studio.StudioId;
        db.Add(studio);
        foreach (var account in new[] { Account.Firings, Account.StudioShare, Account.Cash }) db.Add(new AccountRow(studio.StudioId, account));
        var owner = AddMember(db, studio.StudioId, body.OwnerName, Role.Owner, clock);
        var token = AddToken(db, owner, "first token", null, clock, out _);
        await db.SaveChangesAsync(cancellation);
        var made = new StudioMade { Studio = StudioAnswer.Of(studio), Owner = MemberAnswer.Of(owner), Token = token };
        return Versions.Created(context, $"/v1/studios/{studio.StudioId}", made, studio.Version);
    }

    /// <summary>Who this token is</summary>
    private static IResult Who(Caller caller) => TypedResults.Ok(new WhoAnswer
    {
        StudioId = caller.StudioId.Value,
        MemberId = caller.MemberId.Value,
        Name = caller.Name,
        Role = caller.Role,
    });

    /// <summary>Read the studio</summary>
    private static async Task<IResult> Read(HttpContext context, KilnShareDb db, CancellationToken cancellation)
    {
        var studio = await db.Set<Studio>().AsNoTracking().SingleAsync(cancellation);
        return Versions.Ok(context, StudioAnswer.Of(studio), studio.Version);
    }

    /// <summary>Take in a member</summary>
    private static async Task<IResult> TakeIn(
        MemberBody body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var member = AddMember(db, caller.StudioId, body.Name, body.Role, clock);
        await db.SaveChangesAsync(cancellation);
        return Versions.Created(context, $"/v1/studios/{caller.StudioId}/members/{member.Id}", MemberAnswer.Of(member), member.Version);
    }

    /// <summary>Take in many members</summary>
    /// <remarks>
    /// Up to 500 lines in one transaction, each checked and written as by itself; by default all of them or none. What is refused is told line by
    /// line.
    /// </remarks>
    private static Task<IResult> TakeInMany(
        Batch<MemberBody> body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation) =>
        Batches.Run<MemberBody, MemberAnswer>(
            context, db, body.Lines, body.AllOrNothing, line => TakeIn(line, caller, context, db, clock, cancellation), cancellation);

    /// <summary>List the members</summary>
    private static async Task<IResult> ListMembers(
        Caller caller, HttpContext context, KilnShareDb db, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var start = new Id<Member>(from);
        var rows = await db.Set<Member>().AsNoTracking()
            .Where(m => m.StudioId == caller.StudioId && m.ArchivedAt == null && EF.Functions.GreaterThan(ValueTuple.Create(m.Id), ValueTuple.Create(start)))
            .OrderBy(m => m.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, m => m.Id.Value, MemberAnswer.Of);
    }

    /// <summary>Read a member</summary>
    private static async Task<IResult> ReadMember(Guid memberId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        await db.ById<Member>(caller.StudioId, memberId, cancellation) is { } member
            ? Versions.Ok(context, MemberAnswer.Of(member), member.Version) : Problems.Absent();

    /// <summary>Make a token for a member</summary>
    /// <remarks>The token is shown this once; only its SHA-256 is kept.</remarks>
    private static async Task<IResult> MakeToken(
        Guid memberId, TokenBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Member>([caller.StudioId, new Id<Member>(memberId)], cancellation) is not { ArchivedAt: null } member) return Problems.Absent();
        var text = AddToken(db, member, body.Label, body.ExpiresAt, clock, out var token);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created((string?)null, new TokenMade { Id = token.Id.Value, Label = body.Label, ExpiresAt = body.ExpiresAt, Token = text });
    }

    /// <summary>A new member with an account.</summary>
    internal static Member AddMember(KilnShareDb db, Id<Studio> studio, string name, Role role, IClock clock)
    {
        var member = new Member(studio, NewId.Of<Member>(clock), name, role, clock.GetCurrentInstant());
        db.Add(member);
        db.Add(new AccountRow(studio, Account.OfMember(member.Id.ToString())));
        return member;
    }

    /// <summary>A new token for a member; its text is returned and not kept.</summary>
    internal static string AddToken(KilnShareDb db, Member member, string label, Instant? expiresAt, IClock clock, out AccessToken token)
    {
        var text = AccessToken.Write(member.StudioId, RandomNumberGenerator.GetBytes(AccessToken.SecretBytes));
        token = new AccessToken(
            member.StudioId, NewId.Of<AccessToken>(clock), member.Id, AccessToken.HashOf(text), label, clock.GetCurrentInstant(), expiresAt);
        db.Add(token);
        return text;
    }
}
