using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Api.Hosting;
using KilnShare.Api.Kilns;
using KilnShare.Api.Studios;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using KilnShare.Storage.Common;
using KilnShare.Storage.Firings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>Firings and their states.</summary>
public static class FiringEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapFirings(this RouteGroupBuilder studio)
    {
        var firings = studio.MapGroup("/firings").WithTags("Firings");
        firings.MapPost("", Create).WithName("createFiring").TakesKey().Answers<FiringAnswer>(201).Refuses(409, 422);
        firings.MapGet("", List).WithName("listFirings").Answers<Page<FiringAnswer>>();
        firings.MapGet("/{firingId:guid}", Read).WithName("readFiring").ReadsFirst<Firing>("firingId").Answers<FiringAnswer>();
        firings.MapPut("/{firingId:guid}/state", Move).WithName("moveFiring").Answers<FiringAnswer>().Refuses(409, 422);
        firings.MapFiringEdits();
    }

    /// <summary>Plan a firing</summary>
    /// <remarks>It begins as a draft. The kiln is kept for it from startsAt for its firing and cooling hours.</remarks>
    private static async Task<IResult> Create(
        FiringBody body, Caller caller, HttpContext context, KilnShareDb db, LearntKilns memory, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Kiln>([caller.StudioId, new Id<Kiln>(body.KilnId)], cancellation) is not { ArchivedAt: null } kiln)
            return Problems.Of(Refusal.Rule("firings.no-such-kiln", "There is no such kiln in your studio. Write it down first, or check the id.", "/kilnId"));
        if ((CheckCone(body, kiln) ?? KilnServiceEndpoints.CheckService(kiln)) is { } refusal) return Problems.Of(refusal);
        if (!(await PlannedHours.Read(db, memory, caller.StudioId, body, kiln, cancellation)).TryGet(out var hours, out refusal)) return Problems.Of(refusal);
        var firing = new Firing(
            caller.StudioId, NewId.Of<Firing>(clock), kiln.Id, body.ToAim(), body.StartsAt, hours.FiringHours, hours.CoolingHours, clock.GetCurrentInstant())
        {
            ScheduleId = body.ScheduleId is { } schedule ? new Id<StudioSchedule>(schedule) : null,
            HoursBasis = hours.Basis,
        };
        db.Add(firing);
        db.Add(new FiringLoad(caller.StudioId, firing.Id, kiln.Making.MassLimitG));
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings.create", firing.Id.Value, clock);
        try
        {
            await db.SaveChangesAsync(cancellation);
        }
        catch (DbUpdateException e) when (KilnTimes.AreTaken(e))
        {
            return Problems.Of(await KilnTimes.Refuse(db, firing, cancellation));
        }

        return Versions.Created(context, $"/v1/studios/{caller.StudioId}/firings/{firing.Id}", FiringAnswer.Of(firing), firing.Version);
    }

    /// <summary>List the firings</summary>
    /// <remarks>In the order in which they start. from and to are days by the start, in the studio's zone; all that is asked for must hold.</remarks>
    private static async Task<IResult> List(
        Caller caller, HttpContext context, KilnShareDb db, QueryWord<FiringState>? state, QueryWord<FiringKind>? kind, Guid? kilnId, QueryDay? from,
            QueryDay? to,
        string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out Instant at, out var id, out var take) is { } refusal) return Problems.Of(refusal);
        if (to?.Date <= from?.Date) return Problems.Of(Refusal.Invalid("request.out-of-range", "to is the day after the last: it comes after from.", "/to"));
        var query = kind is { } asked ? db.FiringsOfKind(caller.StudioId, EnumWord<FiringKind>.Of(asked.Value)) : db.Set<Firing>();
        if (state is { } stands) query = query.Where(f => f.State == stands.Value);
        if (kilnId is { } kiln) query = query.Where(f => f.KilnId == new Id<Kiln>(kiln));
        if (from is not null || to is not null)
        {
            var zone = await StudioZone.Of(db, cancellation);
            var (first, end) = (from?.Begins(zone), to?.Begins(zone));
            query = query.Where(f => (first == null || f.StartsAt >= first) && (end == null || f.StartsAt < end));
        }

        var rows = await query.AsNoTracking()
            .Where(f => f.StudioId == caller.StudioId
                && EF.Functions.GreaterThan(ValueTuple.Create(f.StartsAt, f.Id), ValueTuple.Create(at, new Id<Firing>(id))))
            .OrderBy(f => f.StartsAt).ThenBy(f => f.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, f => Pages.Cursor(f.StartsAt, f.Id.Value), FiringAnswer.Of);
    }

    /// <summary>Read a firing</summary>
    private static async Task<IResult> Read(Guid firingId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        await db.ById<Firing>(caller.StudioId, firingId, cancellation) is { } firing
            ? Versions.Ok(context, FiringAnswer.Of(firing), firing.Version) : Problems.Absent();

    /// <summary>Move a firing to its next state</summary>
    /// <remarks>
    /// A firing that is fixed gets its plan as hands load by it: the same pieces on the same shelves, as far from each other and from the edge as the
    /// room allows. Each step is taken once: of two at a time, the later one is told what the firing is by then. An If-Match is held to where it is
    /// sent, and not asked for.
    /// </remarks>
    private static async Task<IResult> Move(
        Guid firingId, FiringStateBody body, Caller caller, HttpContext context, KilnShareDb db, JobSignal jobs, IClock clock, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        await db.LockPlan(caller.StudioId, new Id<Firing>(firingId), cancellation);
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (context.Request.Headers.IfMatch.Count > 0 && Versions.Check(context, firing.Version) is { } stale) return stale;
        if (body.State is FiringState.Loaded or FiringState.Settled)
            return Problems.Of(Refusal.Rule("firings.by-its-papers", "A firing becomes loaded by writing its load, and settled by its settlement.", "/state"));
        if (!(body.State == FiringState.Heating && firing.AwaitsCommand) && FiringStates.Check(firing.State, body.State) is { } refusal)
            return Problems.Of(refusal);
        if (body.State is FiringState.Accepting or FiringState.Heating && await db.FindAsync<Kiln>([caller.StudioId, firing.KilnId], cancellation) is { } kiln
            && KilnServiceEndpoints.CheckService(kiln) is { } closed) return Problems.Of(closed with { Pointer = null });
        var toFix = body.State == FiringState.Fixed ? await db.ReadRoom(caller.StudioId, firing.Id, cancellation) : null;
        if (toFix?.Anew is { } onNew) return Problems.Of(PlanAnew.Gone(onNew));
        var now = clock.GetCurrentInstant();
        if (body.State == FiringState.Heating && await Lighting.Command(db, firing, body, now, cancellation) is { } unlit) return Problems.Of(unlit);
        if (body.State == FiringState.Fixed) await LoadedAlong.Release(db, firing, cancellation);
        if (toFix is not null && firing.State == FiringState.Accepting) await db.ShareOut(toFix, cancellation);
        firing.State = body.State;
        firing.Version++;
        if (body.State == FiringState.Unloaded) await FiringEffects.Unload(db, firing, body, caller.MemberId, clock, cancellation);
        await db.Set<FiringLoad>().Where(l => l.StudioId == caller.StudioId && l.FiringId == firing.Id)
            .ExecuteUpdateAsync(set => set.SetProperty(l => l.Accepting, body.State == FiringState.Accepting), cancellation);
        if (body.State is FiringState.Heating or FiringState.Unloaded) await FiringOverrun.Mark(db, caller, firing, clock, cancellation);
        if (body.State == FiringState.Heating && firing.LitWithoutChecks)
            Trail.Note(db, caller.StudioId, caller.MemberId, "firings.lit-without-checks", firing.Id.Value, clock);
        if (body.State == FiringState.Fixed) db.Add(BookingRows.Release(caller.StudioId, firing.Id, now, clock));
        if (body.State is FiringState.Accepting or FiringState.Fixed && await BookingRows.SomeoneWaits(db, firing, cancellation))
            db.Add(BookingRows.Promotion(caller.StudioId, firing.Id, clock));
        if (body.State == FiringState.Cancelled) await FiringEffects.Release(db, firing, caller.MemberId, clock, cancellation);
        Trail.Note(db, caller.StudioId, caller.MemberId, "firings." + FiringStates.Word(body.State), firing.Id.Value, clock);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        jobs.Ring();
        return Versions.Ok(context, FiringAnswer.Of(firing), firing.Version);
    }

    internal static Refusal? CheckCone(FiringBody body, Kiln kiln)
    {
        if (ConeTables.At(body.Series, body.Cone, ConeTables.TabulatedRatesCPerHour(body.Series)[0]).Refusal is { } unknown)
            return unknown with { Pointer = "/cone" };
        return kiln.Making.RatedCone is { } rated && body.Cone > rated
            ? Refusal.Rule("firings.kiln-rating",
                $"The kiln is rated to cone {rated}; cone {body.Cone} would be beyond it. Choose another kiln or a cooler cone.", "/cone") : null;
    }
}
