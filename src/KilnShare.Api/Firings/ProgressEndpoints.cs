using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Api.Energy;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using KilnShare.Storage.Firings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>Where a firing stands while it runs, and what it was afterwards.</summary>
public static class ProgressEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapProgress(this RouteGroupBuilder studio)
    {
        var firing = studio.MapGroup("/firings/{firingId:guid}").WithTags("Firings");
        firing.MapGet("/firing-progress", ReadProgress).WithName("readFiringProgress").Answers<FiringProgressAnswer>().Refuses(422);
        firing.MapGet("/cone-forecast", ReadForecast).WithName("readConeForecast").Answers<ConeForecastAnswer>().Refuses(422);
        firing.MapGet("/firing-report", ReadReport).WithName("readFiringReport").Answers<FiringReportAnswer>().Refuses(409, 422, 503);
    }

    /// <summary>Read where a running firing stands</summary>
    /// <remarks>By its log and schedule. Alarms are messages, no safety device: they switch nothing off.</remarks>
    private static async Task<IResult> ReadProgress(
        Guid firingId, Caller caller, KilnShareDb db, LearntKilns memory, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        var log = await FiringLog.Read(db, firing, cancellation);
        if (!log.ToCurve().TryGet(out var curve, out var refusal)) return Problems.Of(refusal);
        var plan = await PlanOf(db, memory, firing, cancellation);
        var isOver = firing.State >= FiringState.Unloaded;
        var now = isOver ? curve.History.Seconds[^1] : (clock.GetCurrentInstant() - log.Start).TotalSeconds;
        return LogWatch.Of(curve.History, plan, firing.Aim.Series, firing.Aim.Cone, now).TryGet(out var watch, out refusal)
            ? TypedResults.Ok(Answer(log, watch, plan)) : Problems.Of(refusal);
    }

    /// <summary>Read what a firing will do on each level of its kiln</summary>
    /// <remarks>By its schedule in the kiln as learnt, and on each level moved by what witness cones have taught of it.</remarks>
    private static async Task<IResult> ReadForecast(Guid firingId, Caller caller, KilnShareDb db, LearntKilns memory, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (await PlanOf(db, memory, firing, cancellation) is not { } plan)
            return Problems.Of(Refusal.Rule("firings.nothing-to-forecast",
                "This firing names no schedule whose temperatures are known. Name one, or write the kiln's wall and power down."));
        var levels = await db.ReadLevels(firing.StudioId, firing.KilnId, cancellation);
        return LevelForecast.Of(plan, firing.Aim, levels.Levels).TryGet(out var forecasts, out var refusal)
            ? TypedResults.Ok(ConeForecastAnswer.Of(firing.Aim, forecasts)) : Problems.Of(refusal);
    }

    /// <summary>Read what a firing was</summary>
    /// <remarks>Once it has cooled or is cooling: the log in figures, its heat-work with the cooling, and what it was short of or over its cone.</remarks>
    private static async Task<IResult> ReadReport(
        Guid firingId, Caller caller, KilnShareDb db, LearntKilns memory, SearchGate gate, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (firing.State is not (FiringState.Cooling or FiringState.Unloaded or FiringState.Settled))
            return Problems.Of(
                Refusal.Conflict("firings.not-over", "The firing is not over. Read its firing-progress, and move it to cooling when it is switched off."));
        var log = await FiringLog.Read(db, firing, cancellation);
        if (!log.ToCurve().TryGet(out var curve, out var refusal)) return Problems.Of(refusal);
        var plan = await PlanOf(db, memory, firing, cancellation);
        var report = await gate.Run(_ => LogReport.Of(
            log.Assembly, log.Start, plan, firing.Aim.Series, firing.Aim.Cone, LogReplay.Alarms(curve, plan, firing.Aim.Series, firing.Aim.Cone)),
                cancellation);
        return report.Then(r => r).TryGet(out var found, out refusal) ? TypedResults.Ok(Answer(log, found)) : Problems.Of(refusal);
    }

    /// <summary>What the firing's schedule asks for, from switching on; null where it names none, or none that can be told.</summary>
    internal static async Task<TemperatureHistory?> PlanOf(KilnShareDb db, LearntKilns memory, Firing firing, CancellationToken cancellation)
    {
        if (firing.ScheduleId is not { } named) return null;
        var schedule = await db.Set<StudioSchedule>().AsNoTracking().SingleAsync(s => s.StudioId == firing.StudioId && s.Id == named, cancellation);
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        if (schedule.Schedule.ToHistory().TryGet(out var told, out _)) return told;
        return KilnForecasts.PlanOf(kiln, schedule.Schedule, firing.Aim.Kind, await KilnLearning.Read(db, memory, kiln, cancellation));
    }

    private static FiringProgressAnswer Answer(FiringLog log, LogWatch watch, TemperatureHistory? plan)
    {
        var isDown = watch.TargetDownAtSeconds is { } down && down <= watch.AtSeconds;
        return new()
        {
            StartedAt = log.Start,
            At = log.Start + Duration.FromSeconds(watch.AtSeconds),
            Celsius = Math.Round(watch.Celsius, 1),
            TargetCone = ConeEquivalentContract.At(log.Firing.Aim.Series, log.Firing.Aim.Cone),
            TargetProgress = ConeProgressContract.Rounded(watch.TargetProgress, isDown),
            TargetBend = ConeBendContract.Of(watch.TargetBend),
            TargetIsDown = isDown,
            TargetDownAt = watch.TargetDownAtSeconds is { } at ? ToSecond(log.Start + Duration.FromSeconds(at)) : null,
            ScheduleEndsAt = plan is null ? null : ToSecond(log.Start + Duration.FromSeconds(plan.Seconds[^1])),
            DeviationC = watch.DeviationC is { } deviation ? Math.Round(deviation, 1) : null,
            Equivalent = HeatWorkEquivalentContract.Of(watch.Equivalent),
            Alarms = [.. watch.Alarms.Where(a => StillMatters(a.Kind, log.Firing.State)).Select(a => LogAlarmContract.Of(a, log.Start))],
        };
    }

    private static FiringReportAnswer Answer(FiringLog log, LogReport report) => new()
    {
        StartedAt = log.Start,
        Summary = LogSummaryContract.Of(report.Summary, log.Assembly.Gaps),
        HeatWork = HeatWorkAnswerContract.Of(report.HeatWork),
        TargetCone = ConeEquivalentContract.At(log.Firing.Aim.Series, report.Target),
        TargetProgress = ConeProgressContract.Rounded(
            report.TargetProgress, report.HeatWork.Cones.Single(c => c.Cone == report.Target).DownAtSeconds is not null),
        TargetBend = ConeBendContract.Of(report.HeatWork.Cones.Single(c => c.Cone == report.Target).Bend),
        DegreesFromTarget = report.DegreesFromTarget is { } degrees ? Math.Round(degrees, 1) : null,
        WorstDeviationC = report.WorstDeviationC is { } worst ? Math.Round(worst, 1) : null,
        Passings = [.. report.Passings.Select(SchedulePassingContract.Of)],
        Alarms = [.. report.Alarms.Select(a => LogAlarmContract.Of(a, log.Start))],
    };

    /// <summary>A kiln that was switched off falls and stands still as it should; only what a stuck relay or a broken wire does still counts.</summary>
    private static bool StillMatters(LogAlarmKind kind, FiringState state) => state < FiringState.Cooling
        || kind is LogAlarmKind.Overshoot or LogAlarmKind.ThermocoupleOpen or LogAlarmKind.ThermocoupleReversed;

    private static Instant ToSecond(Instant at) => Instant.FromUnixTimeSeconds(at.ToUnixTimeSeconds());
}
