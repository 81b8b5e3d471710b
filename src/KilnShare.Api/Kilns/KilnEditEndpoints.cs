using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Kilns;

/// <summary>Changing kilns and their furniture, and putting kilns away.</summary>
public static class KilnEditEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapKilnEdits(this RouteGroupBuilder kilns)
    {
        kilns.MapPatch("/{kilnId:guid}", Change).WithName("editKiln").Edits<KilnBody>().Answers<KilnAnswer>().Refuses(422);
        kilns.MapDelete("/{kilnId:guid}", Archive).WithName("archiveKiln").Archives().Refuses(422);
        kilns.MapGet("/{kilnId:guid}/furniture", ReadFurniture).WithName("readFurniture").ReadsFirst<Kiln>("kilnId").Answers<FurnitureContract>();
        kilns.MapPut("/{kilnId:guid}/furniture", WriteFurniture).WithName("writeFurniture").Answers<FurnitureContract>().Refuses(412, 422, 428);
    }

    /// <summary>Change a kiln</summary>
    /// <remarks>
    /// Chamber, furniture and spacing stay as they are while a firing holds ware that is planned on them. Another tariff holds for every firing
    /// that is not settled yet.
    /// </remarks>
    private static async Task<IResult> Change(
        Guid kilnId, MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await Find(db, caller, kilnId, cancellation) is not { } kiln) return Problems.Absent();
        var edit = await editing.Read<KilnBody>(context, kiln, KilnAnswer.Of(kiln), patch, cancellation);
        if (!edit.TryGet(out var body, out var refused)) return refused;
        return await Store(kiln, body, () => KilnAnswer.Of(kiln), caller, context, db, editing, cancellation);
    }

    /// <summary>Put a kiln away</summary>
    private static async Task<IResult> Archive(
        Guid kilnId, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await Find(db, caller, kilnId, cancellation) is not { } kiln) return Problems.Absent();
        var live = await db.Set<Firing>().CountAsync(
            f => f.StudioId == caller.StudioId && f.KilnId == kiln.Id && f.State != FiringState.Settled && f.State != FiringState.Cancelled, cancellation);
        return live == 0
            ? await editing.Archive(context, caller, kiln, kilnId, "kilns.archive", cancellation)
            : Problems.Of(Refusal.Rule("kilns.has-firings", $"{live} firings of this kiln are not settled or cancelled. Finish or cancel them first."));
    }

    /// <summary>Read a kiln's furniture</summary>
    private static async Task<IResult> ReadFurniture(Guid kilnId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        await db.ById<Kiln>(caller.StudioId, kilnId, cancellation) is { } kiln
            ? Versions.Ok(context, FurnitureContract.Of(kiln.Furniture), kiln.Version) : Problems.Absent();

    /// <summary>Replace a kiln's furniture</summary>
    private static async Task<IResult> WriteFurniture(
        Guid kilnId, FurnitureContract body, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await Find(db, caller, kilnId, cancellation) is not { } kiln) return Problems.Absent();
        if (Versions.Check(context, kiln.Version) is { } stale) return stale;
        var wanted = KilnAnswer.Of(kiln) with { Furniture = body };
        if (KilnEndpoints.CheckFurniture(wanted) is { } refusal) return Problems.Of(refusal with { Pointer = refusal.Pointer?.Replace("/furniture", "", StringComparison.Ordinal) });
        return await Store(kiln, wanted, () => FurnitureContract.Of(kiln.Furniture), caller, context, db, editing, cancellation);
    }

    private static async Task<IResult> Store<T>(
        Kiln kiln, KilnBody wanted, Func<T> answer, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        if (await KilnEndpoints.Check(db, caller, wanted, cancellation) is { } refusal) return Problems.Of(refusal);
        if (MovesWare(kiln, wanted) && await HoldsWare(db, kiln, cancellation))
            return Problems.Of(Refusal.Rule("kilns.holds-ware", "A firing of this kiln holds ware planned on these shelves. Withdraw or unload it first, or write the change down as another kiln."));
        (kiln.Making, kiln.Furniture, kiln.TariffId) = (wanted.ToCore(), wanted.Furniture.ToCore(), KilnEndpoints.TariffOf(wanted));
        return await editing.Save(context, caller, kiln, kiln.Id.Value, "kilns.edit", answer, cancellation);
    }

    private static bool MovesWare(Kiln kiln, KilnBody wanted)
    {
        var now = KilnAnswer.Of(kiln);
        return !(Json.Same(now.Chamber, wanted.Chamber) && Json.Same(now.Furniture, wanted.Furniture) && Json.Same(now.Spacing, wanted.Spacing));
    }

    private static Task<bool> HoldsWare(KilnShareDb db, Kiln kiln, CancellationToken cancellation) =>
        (from copy in db.Set<BookedCopy>()
         join firing in db.Set<Firing>() on new { copy.StudioId, copy.FiringId } equals new { firing.StudioId, FiringId = firing.Id }
         where firing.StudioId == kiln.StudioId && firing.KilnId == kiln.Id && copy.State == BookingState.Confirmed
             && (firing.State == FiringState.Draft || firing.State == FiringState.Accepting || firing.State == FiringState.Fixed || firing.State == FiringState.Loaded)
         select copy).AnyAsync(cancellation);

    private static async Task<Kiln?> Find(KilnShareDb db, Caller caller, Guid kilnId, CancellationToken cancellation) =>
        await db.FindAsync<Kiln>([caller.StudioId, new Id<Kiln>(kilnId)], cancellation) is { ArchivedAt: null } kiln ? kiln : null;
}
