using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Api.Hosting;
using KilnShare.Core.Common;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Materials;

/// <summary>
/// Changing clays and glazes, and putting them away. What is booked stays booked with the facts it was booked with; a job looks whether it became doubtful.
/// </summary>
public static class MaterialEditEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapMaterialEdits(this RouteGroupBuilder studio)
    {
        var group = studio.MapGroup("").WithTags("Materials");
        group.MapPatch("/clays/{clayId:guid}", EditClay).WithName("editClay").Edits<ClayContract>().Answers<ClayAnswer>().Refuses(422);
        group.MapDelete("/clays/{clayId:guid}", ArchiveClay).WithName("archiveClay").Archives().Refuses(422);
        group.MapPost("/clays/{clayId:guid}/adoption", AdoptClay).WithName("adoptClay").TakesKey().Answers<ClayAnswer>().Refuses(412, 422);
        group.MapPatch("/glazes/{glazeId:guid}", EditGlaze).WithName("editGlaze").Edits<GlazeContract>().Answers<GlazeAnswer>().Refuses(422);
        group.MapDelete("/glazes/{glazeId:guid}", ArchiveGlaze).WithName("archiveGlaze").Archives().Refuses(422);
        group.MapPost("/glazes/{glazeId:guid}/adoption", AdoptGlaze).WithName("adoptGlaze").TakesKey().Answers<GlazeAnswer>().Refuses(412, 422);
    }

    /// <summary>Change a clay body</summary>
    private static async Task<IResult> EditClay(
        Guid clayId, MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, Editing editing, JobSignal jobs, IClock clock,
        CancellationToken cancellation)
    {
        if (await db.FindAsync<StudioClay>([caller.StudioId, new Id<StudioClay>(clayId)], cancellation) is not { ArchivedAt: null } clay
            || !OwnMaterials.Sees(caller, clay)) return Problems.Absent();
        if (OwnMaterials.MayChange(caller, clay) is { } notYours) return Problems.Of(notYours);
        var edit = await editing.Read<ClayContract>(context, clay, ClayAnswer.Of(clay), patch, cancellation);
        if (!edit.TryGet(out var body, out var refused)) return refused;
        clay.Body = body.ToCore();
        if (await OwnMaterials.Check(clay, db, cancellation) is { } taken) return Problems.Of(taken);
        await CheckBooked(db, caller, p => p.ClayId == clay.Id, clock, cancellation);
        var answer = await editing.Save(context, caller, clay, clayId, "clays.edit", () => ClayAnswer.Of(clay), cancellation);
        jobs.Ring();
        return answer;
    }

    /// <summary>Put a clay body away</summary>
    private static async Task<IResult> ArchiveClay(
        Guid clayId, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await db.FindAsync<StudioClay>([caller.StudioId, new Id<StudioClay>(clayId)], cancellation) is not { ArchivedAt: null } clay
            || !OwnMaterials.Sees(caller, clay)) return Problems.Absent();
        if (OwnMaterials.MayChange(caller, clay) is { } notYours) return Problems.Of(notYours);
        var used = await PiecesWith(db, caller, p => p.ClayId == clay.Id, cancellation);
        return used == 0 ? await editing.Archive(context, caller, clay, clayId, "clays.archive", cancellation) : Problems.Of(InUse("clay", used));
    }

    /// <summary>Change a glaze</summary>
    private static async Task<IResult> EditGlaze(
        Guid glazeId, MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, Editing editing, JobSignal jobs, IClock clock,
        CancellationToken cancellation)
    {
        if (await db.FindAsync<StudioGlaze>([caller.StudioId, new Id<StudioGlaze>(glazeId)], cancellation) is not { ArchivedAt: null } glaze
            || !OwnMaterials.Sees(caller, glaze)) return Problems.Absent();
        if (OwnMaterials.MayChange(caller, glaze) is { } notYours) return Problems.Of(notYours);
        var edit = await editing.Read<GlazeContract>(context, glaze, GlazeAnswer.Of(glaze), patch, cancellation);
        if (!edit.TryGet(out var body, out var refused)) return refused;
        glaze.Glaze = body.ToCore();
        if (await OwnMaterials.Check(glaze, db, cancellation) is { } taken) return Problems.Of(taken);
        await CheckBooked(db, caller, p => p.Layers.Any(l => l.GlazeId == glaze.Id), clock, cancellation);
        var answer = await editing.Save(context, caller, glaze, glazeId, "glazes.edit", () => GlazeAnswer.Of(glaze), cancellation);
        jobs.Ring();
        return answer;
    }

    /// <summary>Put a glaze away</summary>
    private static async Task<IResult> ArchiveGlaze(
        Guid glazeId, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await db.FindAsync<StudioGlaze>([caller.StudioId, new Id<StudioGlaze>(glazeId)], cancellation) is not { ArchivedAt: null } glaze
            || !OwnMaterials.Sees(caller, glaze)) return Problems.Absent();
        if (OwnMaterials.MayChange(caller, glaze) is { } notYours) return Problems.Of(notYours);
        var used = await PiecesWith(db, caller, p => p.Layers.Any(l => l.GlazeId == glaze.Id), cancellation);
        return used == 0 ? await editing.Archive(context, caller, glaze, glazeId, "glazes.archive", cancellation) : Problems.Of(InUse("glaze", used));
    }

    /// <summary>Has every firing looked at again that holds ware made so and is not loaded yet.</summary>
    private static async Task CheckBooked(KilnShareDb db, Caller caller, Func<PieceMaking, bool> isMadeSo, IClock clock, CancellationToken cancellation)
    {
        foreach (var firing in await db.FiringsWith(caller.StudioId, isMadeSo, cancellation)) db.Add(BookingRows.RecheckWare(caller.StudioId, firing, clock));
    }

    /// <summary>Take a potter's clay into the studio's book</summary>
    /// <remarks>From then on everybody sees it and may use it, and who plans and fires keeps it. One that stands in the book already stays as it is.</remarks>
    private static async Task<IResult> AdoptClay(
        Guid clayId, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await db.FindAsync<StudioClay>([caller.StudioId, new Id<StudioClay>(clayId)], cancellation) is not { ArchivedAt: null } clay)
            return Problems.Absent();
        if (clay.MemberId is null) return Versions.Ok(context, ClayAnswer.Of(clay), clay.Version);
        if (await OwnMaterials.Check(clay, db, cancellation) is { } taken) return Problems.Of(taken);
        clay.TakeIn();
        return await editing.Save(context, caller, clay, clayId, "clays.adopt", () => ClayAnswer.Of(clay), cancellation);
    }

    /// <summary>Take a potter's glaze into the studio's book</summary>
    /// <remarks>From then on everybody sees it and may use it, and who plans and fires keeps it. One that stands in the book already stays as it is.</remarks>
    private static async Task<IResult> AdoptGlaze(
        Guid glazeId, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await db.FindAsync<StudioGlaze>([caller.StudioId, new Id<StudioGlaze>(glazeId)], cancellation) is not { ArchivedAt: null } glaze)
            return Problems.Absent();
        if (glaze.MemberId is null) return Versions.Ok(context, GlazeAnswer.Of(glaze), glaze.Version);
        if (await OwnMaterials.Check(glaze, db, cancellation) is { } taken) return Problems.Of(taken);
        glaze.TakeIn();
        return await editing.Save(context, caller, glaze, glazeId, "glazes.adopt", () => GlazeAnswer.Of(glaze), cancellation);
    }

    /// <summary>How many pieces that are not put away are made so; their making is one JSON column, so they are looked through here.</summary>
    private static async Task<int> PiecesWith(KilnShareDb db, Caller caller, Func<PieceMaking, bool> isMadeSo, CancellationToken cancellation)
    {
        var count = 0;
        var makings = db.Set<Piece>().AsNoTracking().Where(p => p.StudioId == caller.StudioId && p.ArchivedAt == null).Select(p => p.Making);
        await foreach (var making in makings.AsAsyncEnumerable().WithCancellation(cancellation))
        {
            if (isMadeSo(making)) count++;
        }

        return count;
    }

    private static Refusal InUse(string what, int pieces) => Refusal.Rule(
        $"materials.{what}-in-use",
            $"{pieces} {(pieces == 1 ? "piece is" : "pieces are")} made with this {what}. Put those away first, or change them to another {what}.") with
    {
        Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["pieces"] = pieces },
    };
}
