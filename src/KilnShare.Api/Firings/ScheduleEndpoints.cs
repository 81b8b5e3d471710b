using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>Schedules that a studio keeps, and those to begin with.</summary>
public static class ScheduleEndpoints
{
    /// <summary>Maps the routes of a studio.</summary>
    public static void MapSchedules(this RouteGroupBuilder studio)
    {
        var schedules = studio.MapGroup("/schedules").WithTags("Firings");
        schedules.MapPost("", Create).WithName("createSchedule").TakesKey().Answers<ScheduleAnswer>(201).Refuses(422);
        schedules.MapGet("", List).WithName("listSchedules").Answers<Page<ScheduleAnswer>>();
        schedules.MapGet("/{scheduleId:guid}", Read).WithName("readSchedule").ReadsFirst<StudioSchedule>("scheduleId").Answers<ScheduleAnswer>();
    }

    /// <summary>Maps the route of the starting schedules.</summary>
    public static void MapStartingSchedules(this RouteGroupBuilder v1) => v1.MapGet("/schedules/starting", ListStarting)
        .WithTags("Firings").WithName("listStartingSchedules").Answers<Page<StartingScheduleContract>>();

    /// <summary>Write a schedule down</summary>
    private static async Task<IResult> Create(
        ScheduleBody body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var wanted = body.ToCore();
        if (wanted.ToHistory().Refusal is { Code: not "firings.rate-needs-kiln" } refusal) return Problems.Of(Place(refusal));
        var schedule = new StudioSchedule(caller.StudioId, NewId.Of<StudioSchedule>(clock), body.Name, body.Purpose, wanted, clock.GetCurrentInstant());
        db.Add(schedule);
        Trail.Note(db, caller.StudioId, caller.MemberId, "schedules.create", schedule.Id.Value, clock);
        await db.SaveChangesAsync(cancellation);
        return Versions.Created(context, $"/v1/studios/{caller.StudioId}/schedules/{schedule.Id}", ScheduleAnswer.Of(schedule), schedule.Version);
    }

    /// <summary>List the schedules</summary>
    private static async Task<IResult> List(Caller caller, HttpContext context, KilnShareDb db, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var start = new Id<StudioSchedule>(from);
        var rows = await db.Set<StudioSchedule>().AsNoTracking()
            .Where(s => s.StudioId == caller.StudioId && EF.Functions.GreaterThan(ValueTuple.Create(s.Id), ValueTuple.Create(start)))
            .OrderBy(s => s.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, s => s.Id.Value, ScheduleAnswer.Of);
    }

    /// <summary>Read a schedule</summary>
    private static async Task<IResult> Read(Guid scheduleId, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        await db.ById<StudioSchedule>(caller.StudioId, scheduleId, cancellation) is { } schedule
            ? Versions.Ok(context, ScheduleAnswer.Of(schedule), schedule.Version) : Problems.Absent();

    /// <summary>List schedules to begin with</summary>
    /// <remarks>For usual purposes, each with its source. Every kiln then finds its own by its witness cones.</remarks>
    private static IResult ListStarting() =>
        TypedResults.Ok(new Page<StartingScheduleContract> { Items = [.. StartingSchedules.All.Select(StartingScheduleContract.Of)], Next = null });

    /// <summary>In this body the schedule's fields stand at the top.</summary>
    private static Refusal Place(Refusal refusal)
    {
        var placed = ScheduleContract.Place(refusal);
        return placed with { Pointer = placed.Pointer?.Replace("/schedule", "", StringComparison.Ordinal) };
    }
}
