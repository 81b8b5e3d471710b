using KilnShare.Api.Firings;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;

namespace KilnShare.Api.Energy;

/// <summary>How long a firing keeps its kiln: as entered, and where not, as its schedule and its kiln forecast.</summary>
/// <param name="FiringHours">From switching on to switching off.</param>
/// <param name="CoolingHours">From then until it may be unloaded.</param>
/// <param name="Basis">Where they come from.</param>
internal sealed record PlannedHours(decimal FiringHours, decimal CoolingHours, HoursBasis Basis)
{
    private const decimal LeastHours = 0.5m;

    /// <summary>The hours of a firing to be planned.</summary>
    private static Result<PlannedHours> Of(FiringBody body, StudioSchedule? named, Kiln kiln, KnownKiln? known)
    {
        if (body is { FiringHours: { } firing, CoolingHours: { } cooling }) return new PlannedHours(firing, cooling, HoursBasis.Entered);
        if (named is null)
            return Refusal.Invalid("firings.hours-missing", "Say how many hours you expect, or name a schedule to forecast them from.", body.FiringHours is null
                ? "/firingHours" : "/coolingHours");
        var forecast = KilnForecasts.Of(kiln, named.Schedule, body.Kind, known);
        if (!FiringHoursOf(body, named.Schedule, forecast).TryGet(out var hours, out var refusal)) return refusal;
        return CoolingHoursOf(body, forecast).Then<PlannedHours>(coolingHours => Checked(new PlannedHours(hours, coolingHours, HoursBasis.Forecast)));
    }

    /// <summary>The same, with the schedule that the firing names.</summary>
    public static async Task<Result<PlannedHours>> Read(
        KilnShareDb db, LearntKilns memory, Id<Studio> studio, FiringBody body, Kiln kiln, CancellationToken cancellation)
    {
        var schedule = body.ScheduleId is { } named ? await db.FindAsync<StudioSchedule>([studio, new Id<StudioSchedule>(named)], cancellation) : null;
        if (schedule is null && body.ScheduleId is not null)
            return Refusal.Rule("firings.no-such-schedule", "There is no such schedule in your studio. Write it down first, or check the id.", "/scheduleId");
        var isAsked = schedule is not null && (body.FiringHours is null || body.CoolingHours is null);
        return Of(body, schedule, kiln, isAsked ? await KilnLearning.Read(db, memory, kiln, cancellation) : null);
    }

    private static Result<decimal> FiringHoursOf(FiringBody body, FiringSchedule schedule, Result<EnergyForecast>? forecast)
    {
        if (body.FiringHours is { } entered) return entered;
        if (forecast is not null && forecast.TryGet(out var found, out _))
        {
            return found.GaveUp
                ? Refusal.Rule("energy.target-not-reached", $"{found.Caution} Choose another schedule, or enter the hours yourself.", "/scheduleId")
                : Up(found.Hours);
        }

        return schedule.ToHistory().TryGet(out var history, out _)
            ? Up(history.Hours)
            : Refusal.Rule("firings.rate-needs-kiln",
                "The schedule goes as fast as the kiln can. Write the kiln's wall and rated power down, or enter the hours.", "/firingHours");
    }

    private static Result<decimal> CoolingHoursOf(FiringBody body, Result<EnergyForecast>? forecast)
    {
        if (body.CoolingHours is { } entered) return entered;
        return forecast is not null && forecast.TryGet(out var found, out _) && found.CoolingHoursTo60C is { } cooling
            ? Up(cooling)
            : Refusal.Rule(
                "firings.cooling-not-known",
                "How long the kiln cools cannot be forecast. Write its wall and rated power down, or enter the hours.", "/coolingHours");
    }

    private static Result<PlannedHours> Checked(PlannedHours hours) =>
        hours.FiringHours is >= LeastHours and <= FiringLimits.MostHours && hours.CoolingHours is >= LeastHours and <= FiringLimits.MostHours
            ? hours
            : Refusal.Rule(
                "firings.hours-out-of-range",
                $"The forecast is {hours.FiringHours} h up and {hours.CoolingHours} h down; a firing takes {LeastHours} to {FiringLimits.MostHours} h each "
                    + $"way. Enter the hours yourself.",
                "/scheduleId");

    private static decimal Up(double hours) => Math.Ceiling((decimal)hours * 100) / 100;
}
