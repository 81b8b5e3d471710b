using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Pieces;

/// <summary>Copies changing hands, or being felt by the loader.</summary>
public sealed record CustodyBody
{
    /// <summary>What happened.</summary>
    /// <example>handedIn</example>
    public required CustodyKind Kind { get; init; }

    /// <summary>Which copies, from 0; absent: all of them.</summary>
    public IReadOnlyList<int>? Copies { get; init; }

    /// <summary>Which rack.</summary>
    /// <example>left rack, second board</example>
    public string? Rack { get; init; }

    /// <summary>How it happened, or anything else worth knowing.</summary>
    /// <example>knocked off the board while it was moved</example>
    public string? Note { get; init; }
}

/// <summary>One copy's event.</summary>
public sealed record CustodyAnswer
{
    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>Which copy.</summary>
    public required int Copy { get; init; }

    /// <summary>What happened.</summary>
    public required CustodyKind Kind { get; init; }

    /// <summary>When.</summary>
    public required Instant At { get; init; }

    /// <summary>Who wrote it down.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>Which rack.</summary>
    public required string? Rack { get; init; }

    /// <summary>How it happened, or anything else worth knowing.</summary>
    public required string? Note { get; init; }

    /// <summary>What the copy had been fired to when it broke; null for all else.</summary>
    public required Stage? StageBefore { get; init; }

    /// <summary>The answer for an event.</summary>
    public static CustodyAnswer Of(CustodyEvent e) =>
        new()
        {
            PieceId = e.PieceId.Value,
            Copy = e.Copy,
            Kind = e.Kind,
            At = e.At,
            MemberId = e.MemberId.Value,
            Rack = e.Rack,
            Note = e.Note,
            StageBefore = e.StageBefore
        };
}

/// <summary>A copy that came out of a kiln and was not fetched.</summary>
public sealed record UncollectedAnswer
{
    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>Which copy.</summary>
    public required int Copy { get; init; }

    /// <summary>What it is.</summary>
    public required string Name { get; init; }

    /// <summary>The sign under its foot.</summary>
    public required string? Mark { get; init; }

    /// <summary>Whose it is.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>When it came out.</summary>
    public required Instant UnloadedAt { get; init; }
}

/// <summary>Ware on the studio's racks.</summary>
public static class CustodyEndpoints
{
    private const int UsualDays = 14;
    private const int MostDays = 3650;
    private const int MostRows = 1000;

    /// <summary>Maps the routes.</summary>
    public static void MapCustody(this RouteGroupBuilder studio)
    {
        var group = studio.MapGroup("").WithTags("Pieces");
        group.MapPost("/pieces/{pieceId:guid}/custody", Write).WithName("writeCustody").TakesKey().Answers<Page<CustodyAnswer>>(201).Refuses(422);
        group.MapGet("/pieces/{pieceId:guid}/custody", List).WithName("listCustody").Answers<Page<CustodyAnswer>>();
        group.MapGet("/uncollected", Uncollected).WithName("listUncollected").Answers<Page<UncollectedAnswer>>();
    }

    /// <summary>Write down that copies were handed in, felt, broken or collected</summary>
    /// <remarks>
    /// Whether greenware is dry is for the loader to say: foundDry and foundDamp take a technician. What broke is lost and is fired no more; foundWhole takes
    /// that back. How ware came out of a firing, broken or not, is an outcome.
    /// </remarks>
    private static async Task<IResult> Write(Guid pieceId, CustodyBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Piece>([caller.StudioId, new Id<Piece>(pieceId)], cancellation) is not { } piece) return Problems.Absent();
        if (caller.MayActFor(piece.MemberId) is { } notYours) return Problems.Of(notYours);
        if (body.Kind is CustodyKind.FoundDry or CustodyKind.FoundDamp && !caller.Plans)
            return Problems.Of(new Refusal(RefusalKind.Forbidden, "access.role", "Whether ware is dry is for the loader to say. Ask a technician.", "/kind"));
        await using var own = db.Database.CurrentTransaction is null ? await db.Database.BeginTransactionAsync(cancellation) : null; // else the key's
        // Held, so that a booking under way has either been written, or waits and then sees what broke.
        await db.Database.ExecuteSqlAsync($"select 1 from piece where studio_id = {caller.StudioId.Value} and id = {pieceId} for no key update", cancellation);
        await db.Entry(piece).ReloadAsync(cancellation);
        var copies = await db.Set<PieceCopy>().Where(c => c.StudioId == caller.StudioId && c.PieceId == piece.Id).OrderBy(c => c.Copy)
            .ToListAsync(cancellation);
        var chosen = body.Copies is null ? copies : [.. copies.Where(c => body.Copies.Contains(c.Copy))];
        if (chosen.Count == 0 || (body.Copies is not null && chosen.Count != body.Copies.Distinct().Count()))
            return Problems.Of(Refusal.Rule("pieces.no-such-copy", $"That piece has {copies.Count} copies. A request counts them from 0.", "/copies"));
        var now = clock.GetCurrentInstant();
        var events = chosen.Select(c => new CustodyEvent(caller.StudioId, NewId.Of<CustodyEvent>(clock), piece.Id, c.Copy, body.Kind, now, caller.MemberId)
        {
            Rack = body.Rack,
            Note = body.Note,
            StageBefore = body.Kind == CustodyKind.Broke ? c.Stage : null,
        }).ToList();
        if (await Breakage.Follow(db, piece, chosen, body.Kind, cancellation) is { } refusal) return Problems.Of(refusal);
        db.AddRange(events);
        foreach (var copy in chosen) Feel(copy, body.Kind, now);
        Trail.Note(db, caller.StudioId, caller.MemberId, "pieces.custody", pieceId, clock);
        await db.SaveChangesAsync(cancellation);
        if (own is not null) await own.CommitAsync(cancellation);
        return TypedResults.Created((string?)null, new Page<CustodyAnswer> { Items = [.. events.Select(CustodyAnswer.Of)], Next = null });
    }

    /// <summary>List what happened to a piece on the racks</summary>
    private static async Task<IResult> List(Guid pieceId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Piece>([caller.StudioId, new Id<Piece>(pieceId)], cancellation) is not { } piece) return Problems.Absent();
        var events = await db.Set<CustodyEvent>().AsNoTracking().Where(e => e.StudioId == caller.StudioId && e.PieceId == piece.Id)
            .OrderBy(e => e.Id).Take(MostRows).ToListAsync(cancellation);
        return TypedResults.Ok(new Page<CustodyAnswer> { Items = [.. events.Select(CustodyAnswer.Of)], Next = null });
    }

    /// <summary>List ware that came out of a kiln and was not fetched</summary>
    private static async Task<IResult> Uncollected(Caller caller, KilnShareDb db, IClock clock, int? days, CancellationToken cancellation)
    {
        if (days is < 0 or > MostDays) return Problems.Of(Refusal.Invalid("request.out-of-range", $"days takes 0 to {MostDays}.", "/days"));
        var before = clock.GetCurrentInstant() - Duration.FromDays(days ?? UsualDays);
        var rows = await (from item in db.Set<LoadItem>().AsNoTracking()
                          join firing in db.Set<Firing>() on new { item.StudioId, Id = item.FiringId } equals new { firing.StudioId, firing.Id }
                          where item.StudioId == caller.StudioId && item.Fate == LoadFate.Placed && firing.UnloadedAt != null && firing.UnloadedAt <= before
                              && !db.Set<CustodyEvent>().Any(e => e.StudioId == item.StudioId && e.PieceId == item.PieceId && e.Copy == item.Copy
                                  && e.Kind == CustodyKind.Collected && e.At >= firing.UnloadedAt)
                              // What broke on the rack is nobody's to fetch.
                              && !(db.Set<PieceCopy>()
                                  .Any(c => c.StudioId == item.StudioId && c.PieceId == item.PieceId && c.Copy == item.Copy && c.Stage == Stage.Lost)
                                  && db.Set<CustodyEvent>().Any(e => e.StudioId == item.StudioId && e.PieceId == item.PieceId && e.Copy == item.Copy
                                      && e.Kind == CustodyKind.Broke && e.At >= firing.UnloadedAt))
                              && !db.Set<BookedCopy>().Any(b => b.StudioId == item.StudioId && b.PieceId == item.PieceId && b.Copy == item.Copy
                                  && b.State != BookingState.Withdrawn && b.FiringId != item.FiringId)
                          orderby firing.UnloadedAt, item.FiringId, item.PieceId, item.Copy
                          select new { item, firing.UnloadedAt }).Take(MostRows).ToListAsync(cancellation);
        return TypedResults.Ok(new Page<UncollectedAnswer>
        {
            Items = [.. rows.Select(r => new UncollectedAnswer
            {
                PieceId = r.item.PieceId.Value,
                Copy = r.item.Copy,
                Name = r.item.Frozen.Name,
                Mark = r.item.Frozen.Mark,
                MemberId = r.item.Frozen.MemberId.Value,
                UnloadedAt = r.UnloadedAt!.Value,
            })],
            Next = null,
        });
    }

    private static void Feel(PieceCopy copy, CustodyKind kind, Instant now)
    {
        if (copy.Stage != Stage.Greenware || kind is not (CustodyKind.FoundDry or CustodyKind.FoundDamp)) return;
        copy.Dryness = kind == CustodyKind.FoundDry ? Dryness.Dry : Dryness.LeatherHard;
        copy.DrySince = kind == CustodyKind.FoundDry ? copy.DrySince ?? now : null;
    }
}

internal sealed class CustodyValidator : AbstractValidator<CustodyBody>
{
    public CustodyValidator()
    {
        RuleFor(c => c.Rack).OptionalLine(StudioLimits.MaxName);
        RuleFor(c => c.Note).Note();
        RuleFor(c => c.Copies).AtMost(PieceLimits.MaxQuantity);
    }
}
