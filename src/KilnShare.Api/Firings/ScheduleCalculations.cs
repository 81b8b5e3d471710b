using KilnShare.Api.Common;
using KilnShare.Api.Cones;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Api.Firings;

/// <summary>What schedules do, and which schedule does what is wanted. Nothing is stored.</summary>
public static class ScheduleCalculations
{
    /// <summary>Maps the routes.</summary>
    public static void MapScheduleCalculations(this RouteGroupBuilder v1)
    {
        var calculations = v1.MapGroup("/calculations").WithTags("Firings");
        calculations.MapPost("/schedule-forecast", Forecast).WithName("forecastSchedule").Answers<ScheduleForecastAnswer>().Refuses(422);
        calculations.MapPost("/schedule-peak", Peak).WithName("findSchedulePeak").Answers<SchedulePeakAnswer>().Refuses(422);
        calculations.MapPost("/schedule-units", Units).WithName("convertSchedule").Answers<ScheduleUnitsAnswer>();
        calculations.MapPost("/schedule-fit", Fit).WithName("fitSchedule").Answers<ScheduleFitAnswer>().Refuses(422);
    }

    /// <summary>Look ahead on a schedule</summary>
    /// <remarks>How long it takes, which cones it brings down, and where it passes the key temperatures faster than the ware stands.</remarks>
    private static IResult Forecast(ScheduleForecastQuestion question) =>
        ScheduleForecast.Of(question.Schedule.ToCore(), question.Series, question.Ware?.ToCore()).TryGet(out var forecast, out var refusal)
            ? TypedResults.Ok(ScheduleForecastAnswer.Of(forecast)) : Problems.Of(ScheduleContract.Place(refusal));

    /// <summary>Turn a schedule in °F into one in °C</summary>
    /// <remarks>Without rounding: kept and read again, it is in °F what it was. A kept schedule always repeats itself in °F.</remarks>
    private static IResult Units(FahrenheitScheduleContract question)
    {
        var schedule = question.ToCore();
        if (schedule.Check() is { } refusal) return Problems.Of(refusal with { Pointer = refusal.Pointer?.Replace("C", "F", StringComparison.Ordinal) });
        return TypedResults.Ok(new ScheduleUnitsAnswer
        {
            Celsius = ScheduleContract.Of(schedule),
            Fahrenheit = FahrenheitScheduleContract.Of(schedule),
            Hours = ScheduleAnswer.HoursOf(schedule),
        });
    }

    /// <summary>Find the peak or the hold that brings a cone down</summary>
    private static IResult Peak(SchedulePeakQuestion question)
    {
        if (!Solve(question).TryGet(out var answer, out var refusal)) return Problems.Of(refusal);
        return TypedResults.Ok(answer);
    }

    /// <summary>Fit a schedule into the time there is</summary>
    /// <remarks>The last 100 °C keep their rate, since they decide the cone; no rate exceeds what the kiln can or the walls stand. Holds stay.</remarks>
    private static IResult Fit(ScheduleFitQuestion question) =>
        ScheduleDeadline.Fit(question.Schedule.ToCore(), question.Hours, question.Ware.ToCore(), question.KilnCPerHour).TryGet(out var fitted, out var refusal)
            ? TypedResults.Ok(new ScheduleFitAnswer { Schedule = ScheduleContract.Of(fitted), Hours = ScheduleAnswer.HoursOf(fitted) ?? question.Hours })
            : Problems.Of(ScheduleContract.Place(refusal));

    private static Result<SchedulePeakAnswer> Solve(SchedulePeakQuestion question)
    {
        var cone = ConeEquivalentContract.At(question.Series, question.Cone);
        if (question.Schedule is { } schedule)
        {
            if (!SchedulePeak.FitPeak(schedule.ToCore(), question.Series, question.Cone).TryGet(out var fitted, out var wrong))
                return ScheduleContract.Place(wrong);
            var rounded = Rounded(fitted);
            return new SchedulePeakAnswer
            {
                Cone = cone,
                PeakC = rounded.PeakC,
                Warnings = Warnings(
                question, rounded.ToHistory().Value.EndRateCPerHour, rounded.PeakC),
                HoldMinutes = null,
                Schedule = ScheduleContract.Of(rounded)
            };
        }

        var rate = question.EndRateCPerHour!.Value;
        if (question.PeakC is { } peakC)
        {
            var hold = SchedulePeak.HoldMinutesFor(question.Series, question.Cone, rate, peakC);
            return hold.Refusal is { } never ? Place(never) : new SchedulePeakAnswer
            {
                Cone = cone,
                PeakC = peakC,
                Warnings = Warnings(
                question, rate, peakC),
                HoldMinutes = Math.Round(hold.Value, 1),
                Schedule = null
            };
        }

        var holdMinutes = question.HoldMinutes ?? 0;
        var peak = SchedulePeak.For(question.Series, question.Cone, rate, holdMinutes);
        return peak.Refusal is { } none ? Place(none) : new SchedulePeakAnswer
        {
            Cone = cone,
            PeakC = Up(
            peak.Value),
            Warnings = Warnings(question, rate, peak.Value),
            HoldMinutes = holdMinutes,
            Schedule = null
        };
    }

    private static IReadOnlyList<string> Warnings(SchedulePeakQuestion question, double? rate, double peakC) =>
        HeatWork.BeyondTrust(question.Cone, HeatWork.TableC(question.Series, question.Cone, rate), peakC) is { } far ? [far] : [];

    /// <summary>Temperatures to a tenth of a degree, upward, so that the cone still comes down.</summary>
    private static FiringSchedule Rounded(FiringSchedule schedule) =>
        schedule with { Segments = [.. schedule.Segments.Select(s => s.ToC.Equals(schedule.PeakC) ? s with { ToC = Up(s.ToC) } : s)] };

    private static double Up(double celsius) => Math.Ceiling((celsius * 10) - 1e-6) / 10;

    /// <summary>Core solves a schedule of its own making; its fields are named otherwise here.</summary>
    private static Refusal Place(Refusal refusal) => refusal.Pointer switch
    {
        "/segments/0/rateCPerHour" or "/readings" => refusal with { Pointer = "/endRateCPerHour" },
        "/segments/0/holdMinutes" => refusal with { Pointer = "/holdMinutes" },
        "/segments/0/toC" or "/startC" => refusal with { Pointer = "/peakC" },
        "/segments" => refusal with { Pointer = "/cone" },
        _ => refusal,
    };
}
