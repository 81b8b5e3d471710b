using KilnShare.Core.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>What a schedule will do, before it is run.</summary>
/// <param name="Hours">From switching on to the end of the last segment, h.</param>
/// <param name="HeatWork">What it does to the cones.</param>
/// <param name="Passings">Where it passes the key temperatures.</param>
/// <param name="Cautions">What to change for the ware's sake; empty where nothing is known against it.</param>
public sealed record ScheduleForecast(
    double Hours, HeatWorkAnswer HeatWork, IReadOnlyList<SchedulePassing> Passings, IReadOnlyList<string> Cautions)
{
    /// <summary>Looks ahead.</summary>
    /// <param name="schedule">The schedule; every segment needs its rate.</param>
    /// <param name="series">Which cones are asked about.</param>
    /// <param name="ware">What is in the kiln; null where not said.</param>
    public static Result<ScheduleForecast> Of(FiringSchedule schedule, ConeSeries series, ScheduleWare? ware) =>
        ware?.Check() is { } refusal ? refusal : schedule.ToHistory().Then(history => Cones.HeatWork.Of(series, history).Then<ScheduleForecast>(heatWork =>
        {
            var passings = SchedulePassings.Of(history, ware);
            var cautions = passings.Select(passing => passing.Caution).OfType<string>().ToList();
            if (ware is { ThickestWallMm: null })
                cautions.Add("How thick the thickest wall is was not said, so no rate was checked against it.");
            return new ScheduleForecast(history.Hours, heatWork, passings, cautions);
        }));
}
