using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Api.Firings;
using KilnShare.Api.Hosting;
using KilnShare.Api.Studios;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Kilns;

/// <summary>Changing kilns and their furniture, and putting kilns away.</summary>
public static class KilnEditEndpoints
{
    private const int MostNamed = 5;

    /// <summary>Maps the routes.</summary>
    public static void MapKilnEdits(this RouteGroupBuilder kilns)
    {
        kilns.MapPatch("/{kilnId:guid}", Change).WithName("editKiln").Edits<KilnBody>().Answers<KilnAnswer>().Refuses(422);
        kilns.MapDelete("/{kilnId:guid}", Archive).WithName("archiveKiln").Archives().Refuses(409, 422);
        kilns.MapGet("/{kilnId:guid}/furniture", ReadFurniture).WithName("readFurniture").ReadsFirst<Kiln>("kilnId").Answers<FurnitureContract>();
        kilns.MapPut("/{kilnId:guid}/furniture", WriteFurniture).WithName("writeFurniture").Answers<FurnitureContract>().Refuses(412, 422, 428);
    }

    /// <summary>Change a kiln</summary>
    /// <remarks>
    /// Another chamber, other furniture, spacing or keep-outs unbook nobody. Plans that do not stand on what is there then are marked: nothing more is
    /// booked, fixed or loaded in their firings until they are planned anew. Another tariff holds for every firing that is not settled yet.
    /// </remarks>
    private static async Task<IResult> Change(
        Guid kilnId, MergePatch patch, Caller caller, HttpContext context, KilnShareDb db, Editing editing, JobSignal jobs, IClock clock,
            CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        if (await Hold(db, caller, kilnId, cancellation) is not { } kiln) return Problems.Absent();
        var edit = await editing.Read<KilnBody>(context, kiln, KilnAnswer.Of(kiln), patch, cancellation);
        if (!edit.TryGet(out var body, out var refused)) return refused;
        if (await Refuse(kiln, body, caller, db, clock, cancellation) is { } refusal) return Problems.Of(refusal);
        var answer = await editing.Save(context, caller, kiln, kilnId, "kilns.edit", () => KilnAnswer.Of(kiln), cancellation);
        await writing.CommitAsync(cancellation);
        jobs.Ring();
        return answer;
    }

    /// <summary>Put a kiln away</summary>
    private static async Task<IResult> Archive(
        Guid kilnId, Caller caller, HttpContext context, KilnShareDb db, Editing editing, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        if (await Hold(db, caller, kilnId, cancellation) is not { } kiln) return Problems.Absent();
        var live = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == caller.StudioId && f.KilnId == kiln.Id && f.State != FiringState.Settled && f.State != FiringState.Cancelled)
            .OrderBy(f => f.StartsAt).ToListAsync(cancellation);
        if (live.Count > 0) return Problems.Of(HasFirings(kiln, live, await StudioZone.Of(db, cancellation)));
        var answer = await editing.Archive(context, caller, kiln, kilnId, "kilns.archive", cancellation);
        await writing.CommitAsync(cancellation);
        return answer;
    }

    /// <summary>Read a kiln's furniture</summary>
    private static async Task<IResult> ReadFurniture(Guid kilnId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        await db.ById<Kiln>(caller.StudioId, kilnId, cancellation) is { } kiln
            ? Versions.Ok(context, FurnitureContract.Of(kiln.Furniture), kiln.Version) : Problems.Absent();

    /// <summary>Replace a kiln's furniture</summary>
    /// <remarks>
    /// Unbooks nobody. Plans that do not stand on what is there then are marked: nothing more is booked, fixed or loaded in their firings until they
    /// are planned anew with POST to the firing's load-plan. Plans of loaded and past firings are told and drawn on the furniture they were made for.
    /// </remarks>
    private static async Task<IResult> WriteFurniture(
        Guid kilnId, FurnitureContract body, Caller caller, HttpContext context, KilnShareDb db, Editing editing, JobSignal jobs, IClock clock,
            CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        if (await Hold(db, caller, kilnId, cancellation) is not { } kiln) return Problems.Absent();
        if (Versions.Check(context, kiln.Version) is { } stale) return stale;
        var wanted = KilnAnswer.Of(kiln) with { Furniture = body };
        if (await Refuse(kiln, wanted, caller, db, clock, cancellation) is { } refusal)
            return Problems.Of(refusal with { Pointer = refusal.Pointer?.Replace("/furniture", "", StringComparison.Ordinal) });
        var answer = await editing.Save(context, caller, kiln, kilnId, "kilns.edit", () => FurnitureContract.Of(kiln.Furniture), cancellation);
        await writing.CommitAsync(cancellation);
        jobs.Ring();
        return answer;
    }

    /// <summary>
    /// Puts the wanted kiln in place of the one that is held, or says what is wrong with it. Plans that may not stand on it are marked, and a job
    /// looks.
    /// </summary>
    private static async Task<Refusal?> Refuse(Kiln kiln, KilnBody wanted, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await KilnEndpoints.Check(db, caller, wanted, cancellation) is { } refusal) return refusal;
        if (MovesWare(kiln, wanted))
        {
            foreach (var firing in await db.MarkPlans(kiln.StudioId, kiln.Id, clock.GetCurrentInstant(), cancellation))
                db.Add(BookingRows.Recheck(kiln.StudioId, new Id<Firing>(firing), clock));
        }

        (kiln.Making, kiln.Furniture, kiln.TariffId) = (wanted.ToCore(), wanted.Furniture.ToCore(), KilnEndpoints.TariffOf(wanted));
        return null;
    }

    private static bool MovesWare(Kiln kiln, KilnBody wanted)
    {
        var now = KilnAnswer.Of(kiln);
        return !(Json.Same(now.Chamber, wanted.Chamber) && Json.Same(now.Furniture, wanted.Furniture) && Json.Same(now.Spacing, wanted.Spacing)
            && Json.Same(now.KeepOuts, wanted.KeepOuts));
    }

    private static Refusal HasFirings(Kiln kiln, List<Firing> live, DateTimeZone zone) => Refusal.Rule(
        "kilns.has-firings",
        $"{kiln.Making.Name} still has firings to finish or cancel first: "
        + $"{string.Join("; ", live.Take(MostNamed).Select(f => $"{FiringWords.Of(f)}, {FiringWords.Time(f.StartsAt, zone)} ({FiringStates.Word(f.State)})"))}"
        + (live.Count > MostNamed ? $", and {live.Count - MostNamed} more." : ".")) with
    {
        Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["firingIds"] = live.Take(MostNamed).Select(f => f.Id.Value).ToList() },
    };

    /// <summary>The kiln, held until the transaction ends: who books or plans in it waits, and then sees it as it has become.</summary>
    private static async Task<Kiln?> Hold(KilnShareDb db, Caller caller, Guid kilnId, CancellationToken cancellation)
    {
        await db.Database.ExecuteSqlAsync($"select 1 from kiln where studio_id = {caller.StudioId.Value} and id = {kilnId} for no key update", cancellation);
        return await db.FindAsync<Kiln>([caller.StudioId, new Id<Kiln>(kilnId)], cancellation) is { ArchivedAt: null } kiln ? kiln : null;
    }
}
