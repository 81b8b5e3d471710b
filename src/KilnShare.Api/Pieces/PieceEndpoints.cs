using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using KilnShare.Storage.Pieces;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Pieces;

/// <summary>Pieces of ware.</summary>
public static class PieceEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapPieces(this RouteGroupBuilder studio)
    {
        var pieces = studio.MapGroup("/pieces").WithTags("Pieces");
        pieces.MapPost("", Create).WithName("createPiece").TakesKey().Answers<PieceAnswer>(201).Refuses(422);
        pieces.MapPost("/batch", CreateMany).WithName("createPieces").TakesKey().Answers<BatchAnswer<PieceAnswer>>().Refuses(422);
        pieces.MapGet("", List).WithName("listPieces").Answers<Page<PieceAnswer>>();
        pieces.MapGet("/{pieceId:guid}", Read).WithName("readPiece").ReadsFirst<Piece>("pieceId").Answers<PieceAnswer>();
        pieces.MapPieceEdits();
    }

    /// <summary>Write a piece down</summary>
    private static async Task<IResult> Create(
        NewPieceBody body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var owner = body.MemberId is { } other ? new Id<Member>(other) : caller.MemberId;
        if (await db.FindAsync<Member>([caller.StudioId, owner], cancellation) is not { ArchivedAt: null }) return Problems.Of(Absent("member", "/memberId"));
        if (await FindStranger(body, caller, owner, db, cancellation) is { } stranger) return Problems.Of(stranger);
        if (caller.MayActFor(owner) is { } refusal) return Problems.Of(refusal);
        var piece = new Piece(caller.StudioId, NewId.Of<Piece>(clock), owner, body.ToCore(), body.Quantity, clock.GetCurrentInstant());
        db.Add(piece);
        var copies = Enumerable.Range(0, body.Quantity).Select(copy => new PieceCopy(caller.StudioId, piece.Id, copy, body.Stage)
        {
            BisquedAt = body.BisquedAt,
            Dryness = body.Dryness,
            DrySince = body.DrySince,
        }).ToList();
        db.AddRange(copies);
        await db.SaveChangesAsync(cancellation);
        var around = await PieceSurroundings.Read(db, caller.StudioId, [piece], cancellation);
        return Versions.Created(context, $"/v1/studios/{caller.StudioId}/pieces/{piece.Id}", PieceAnswer.Of(piece, copies, around), piece.Version);
    }

    /// <summary>Write many pieces down</summary>
    /// <remarks>
    /// Up to 500 lines in one transaction, each checked and written as by itself; by default all of them or none. What is refused is told line by
    /// line. Their copies together are bounded too.
    /// </remarks>
    private static Task<IResult> CreateMany(
        Batch<NewPieceBody> body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation) =>
        Batches.Run<NewPieceBody, PieceAnswer>(
            context, db, body.Lines, body.AllOrNothing, line => Create(line, caller, context, db, clock, cancellation), cancellation);

    /// <summary>List the pieces</summary>
    /// <remarks>All that is asked for must hold. stage and nextKind are those of one copy at least; nextKind is the first step of its route.</remarks>
    private static async Task<IResult> List(
        Caller caller, HttpContext context, KilnShareDb db, Guid? memberId, string? mark, QueryWord<Stage>? stage, Guid? clayId, Guid? glazeId,
        QueryWord<FiringKind>? nextKind, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        if (mark is not null && !Rules.IsClean(mark, PieceLimits.MaxMark, lines: false))
            return Problems.Of(Refusal.Invalid("request.text", "mark takes the sign under the foot as it is written down.", "/mark"));
        var wanted = new PiecesWanted
        {
            MemberId = memberId is { } owner ? new Id<Member>(owner) : null,
            Mark = mark,
            ClayId = clayId is { } clay ? new Id<StudioClay>(clay) : null,
            GlazeId = glazeId is { } glaze ? new Id<StudioGlaze>(glaze) : null,
            Stage = stage?.Value,
            NextKind = nextKind is { } next ? EnumWord<FiringKind>.Of(next.Value) : null,
        };
        var start = new Id<Piece>(from);
        var rows = await db.FindPieces(caller.StudioId, wanted).AsNoTracking()
            .Where(p => EF.Functions.GreaterThan(ValueTuple.Create(p.Id), ValueTuple.Create(start)))
            .OrderBy(p => p.Id).Take(take + 1).ToListAsync(cancellation);
        var ids = rows.Select(p => p.Id).ToList();
        var copies = (await db.Set<PieceCopy>().AsNoTracking().Where(c => ids.Contains(c.PieceId)).ToListAsync(cancellation)).ToLookup(c => c.PieceId);
        var around = await PieceSurroundings.Read(db, caller.StudioId, rows, cancellation);
        return Pages.Answer(context, rows, take, p => p.Id.Value, p => PieceAnswer.Of(p, [.. copies[p.Id]], around));
    }

    /// <summary>Read a piece</summary>
    private static async Task<IResult> Read(Guid pieceId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.ById<Piece>(caller.StudioId, pieceId, cancellation) is not { } piece) return Problems.Absent();
        var copies = await db.Set<PieceCopy>().AsNoTracking().Where(c => c.PieceId == piece.Id).ToListAsync(cancellation);
        var around = await PieceSurroundings.Read(db, caller.StudioId, [piece], cancellation);
        return Versions.Ok(context, PieceAnswer.Of(piece, copies, around), piece.Version);
    }

    /// <summary>The first material in the body that this owner's pieces cannot be made with, as the field it stands in.</summary>
    internal static async Task<Refusal?> FindStranger(PieceMakingContract body, Caller caller, Id<Member> owner, KilnShareDb db, CancellationToken cancellation)
    {
        var clay = await db.FindAsync<StudioClay>([caller.StudioId, new Id<StudioClay>(body.ClayId)], cancellation);
        if (await Refuse(clay, "clay", "/clayId") is { } noClay) return noClay;
        for (var i = 0; i < body.Layers.Count; i++)
        {
            var glaze = await db.FindAsync<StudioGlaze>([caller.StudioId, new Id<StudioGlaze>(body.Layers[i].GlazeId)], cancellation);
            if (await Refuse(glaze, "glaze", $"/layers/{i}/glazeId") is { } noGlaze) return noGlaze;
        }

        return null;

        async Task<Refusal?> Refuse(IMaterial? material, string what, string pointer)
        {
            if (material is not { ArchivedAt: null } || !material.IsSeenBy(caller.MemberId, caller.Plans)) return Absent(what, pointer);
            if (material.IsFor(owner)) return null;
            var maker = (await db.FindAsync<Member>([caller.StudioId, material.MemberId!.Value], cancellation))!.Name;
            return Refusal.Rule(
                $"pieces.{what}-of-another",
                    $"{material.Name} is {maker}'s own {what}, for {maker}'s pieces only. Take it into the studio's book first, or choose another {what}.",
                    pointer);
        }
    }

    private static Refusal Absent(string what, string pointer) =>
        Refusal.Rule($"pieces.no-such-{what}", $"There is no such {what} in your studio. Write it down first, or check the id.", pointer);
}
