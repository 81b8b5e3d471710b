using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Materials;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Materials;

/// <summary>Clays and glazes.</summary>
public static class MaterialEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapMaterials(this RouteGroupBuilder studio)
    {
        var clays = studio.MapGroup("/clays").WithTags("Materials");
        clays.MapPost("", CreateClay).WithName("createClay").TakesKey().Answers<ClayAnswer>(201).Refuses(422);
        clays.MapPost("/batch", CreateClays).WithName("createClays").TakesKey().Answers<BatchAnswer<ClayAnswer>>().Refuses(422);
        clays.MapGet("", ListClays).WithName("listClays").Answers<Page<ClayAnswer>>();
        clays.MapGet("/{clayId:guid}", ReadClay).WithName("readClay").ReadsFirst<StudioClay>("clayId").Answers<ClayAnswer>();
        var glazes = studio.MapGroup("/glazes").WithTags("Materials");
        glazes.MapPost("", CreateGlaze).WithName("createGlaze").TakesKey().Answers<GlazeAnswer>(201).Refuses(422);
        glazes.MapPost("/batch", CreateGlazes).WithName("createGlazes").TakesKey().Answers<BatchAnswer<GlazeAnswer>>().Refuses(422);
        glazes.MapGet("", ListGlazes).WithName("listGlazes").Answers<Page<GlazeAnswer>>();
        glazes.MapGet("/{glazeId:guid}", ReadGlaze).WithName("readGlaze").ReadsFirst<StudioGlaze>("glazeId").Answers<GlazeAnswer>();
        studio.MapMaterialEdits();
    }

    /// <summary>Write a clay body down</summary>
    /// <remarks>Who plans and fires writes into the studio's book. A potter's clay is their own, for their pieces only, until it is taken in.</remarks>
    private static async Task<IResult> CreateClay(
        ClayContract body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var clay = new StudioClay(caller.StudioId, NewId.Of<StudioClay>(clock), body.ToCore(), clock.GetCurrentInstant());
        if (!caller.Plans && await OwnMaterials.Check(clay.OwnOf(caller.MemberId), db, cancellation) is { } taken) return Problems.Of(taken);
        db.Add(clay);
        await db.SaveChangesAsync(cancellation);
        return Versions.Created(context, $"/v1/studios/{caller.StudioId}/clays/{clay.Id}", ClayAnswer.Of(clay), clay.Version);
    }

    /// <summary>Write many clay bodies down</summary>
    /// <remarks>
    /// Up to 500 lines in one transaction, each checked and written as by itself; by default all of them or none. What is refused is told line by
    /// line.
    /// </remarks>
    private static Task<IResult> CreateClays(
        Batch<ClayContract> body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation) =>
        Batches.Run<ClayContract, ClayAnswer>(
            context, db, body.Lines, body.AllOrNothing, line => CreateClay(line, caller, context, db, clock, cancellation), cancellation);

    /// <summary>List the clays</summary>
    private static async Task<IResult> ListClays(
        Caller caller, HttpContext context, KilnShareDb db, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var start = new Id<StudioClay>(from);
        var rows = await db.Set<StudioClay>().AsNoTracking()
            .Where(c => c.StudioId == caller.StudioId && c.ArchivedAt == null && (caller.Plans || c.MemberId == null || c.MemberId == caller.MemberId)
                && EF.Functions.GreaterThan(ValueTuple.Create(c.Id), ValueTuple.Create(start)))
            .OrderBy(c => c.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, c => c.Id.Value, ClayAnswer.Of);
    }

    /// <summary>Read a clay body</summary>
    private static async Task<IResult> ReadClay(Guid clayId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        await db.ById<StudioClay>(caller.StudioId, clayId, cancellation) is { } clay && OwnMaterials.Sees(caller, clay)
            ? Versions.Ok(context, ClayAnswer.Of(clay), clay.Version) : Problems.Absent();

    /// <summary>Write a glaze down</summary>
    /// <remarks>Who plans and fires writes into the studio's book. A potter's glaze is their own, for their pieces only, until it is taken in.</remarks>
    private static async Task<IResult> CreateGlaze(
        GlazeContract body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var glaze = new StudioGlaze(caller.StudioId, NewId.Of<StudioGlaze>(clock), body.ToCore(), clock.GetCurrentInstant());
        if (!caller.Plans && await OwnMaterials.Check(glaze.OwnOf(caller.MemberId), db, cancellation) is { } taken) return Problems.Of(taken);
        db.Add(glaze);
        await db.SaveChangesAsync(cancellation);
        return Versions.Created(context, $"/v1/studios/{caller.StudioId}/glazes/{glaze.Id}", GlazeAnswer.Of(glaze), glaze.Version);
    }

    /// <summary>Write many glazes down</summary>
    /// <remarks>
    /// Up to 500 lines in one transaction, each checked and written as by itself; by default all of them or none. What is refused is told line by
    /// line.
    /// </remarks>
    private static Task<IResult> CreateGlazes(
        Batch<GlazeContract> body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation) =>
        Batches.Run<GlazeContract, GlazeAnswer>(
            context, db, body.Lines, body.AllOrNothing, line => CreateGlaze(line, caller, context, db, clock, cancellation), cancellation);

    /// <summary>List the glazes</summary>
    private static async Task<IResult> ListGlazes(
        Caller caller, HttpContext context, KilnShareDb db, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var start = new Id<StudioGlaze>(from);
        var rows = await db.Set<StudioGlaze>().AsNoTracking()
            .Where(g => g.StudioId == caller.StudioId && g.ArchivedAt == null && (caller.Plans || g.MemberId == null || g.MemberId == caller.MemberId)
                && EF.Functions.GreaterThan(ValueTuple.Create(g.Id), ValueTuple.Create(start)))
            .OrderBy(g => g.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, g => g.Id.Value, GlazeAnswer.Of);
    }

    /// <summary>Read a glaze</summary>
    private static async Task<IResult> ReadGlaze(Guid glazeId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        await db.ById<StudioGlaze>(caller.StudioId, glazeId, cancellation) is { } glaze && OwnMaterials.Sees(caller, glaze)
            ? Versions.Ok(context, GlazeAnswer.Of(glaze), glaze.Version) : Problems.Absent();
}
