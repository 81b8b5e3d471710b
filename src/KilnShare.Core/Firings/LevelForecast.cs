using KilnShare.Core.Common;
using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>What a firing is forecast to do on one level of its kiln.</summary>
/// <param name="Level">What the level usually does; null for the thermocouple's own place.</param>
/// <param name="PeakC">The hottest there.</param>
/// <param name="Equivalent">What its heat-work amounts to.</param>
/// <param name="TargetProgress">How far the target cone comes; 1 is down.</param>
/// <param name="LowProgress">The same, one standard deviation cooler.</param>
/// <param name="HighProgress">One standard deviation hotter.</param>
public sealed record LevelForecast(
    WitnessHabit? Level, double PeakC, HeatWorkEquivalent Equivalent, double TargetProgress, double LowProgress, double HighProgress)
{
    /// <summary>The forecast at the thermocouple, and on every level whose difference is known, moved by it.</summary>
    /// <remarks>
    /// Source: the differences are learnt from witness cones in degrees of the cone table, so the whole history is moved by them. Accuracy: that of
    /// the differences; what lies far below the peak does nothing to the cone.
    /// </remarks>
    public static Result<IReadOnlyList<LevelForecast>> Of(TemperatureHistory history, FiringAim aim, IReadOnlyList<WitnessHabit> levels)
    {
        var forecasts = new List<LevelForecast>();
        foreach (var level in (WitnessHabit?[])[null, .. levels.Where(l => l.DifferenceC is not null)])
        {
            var (more, give) = (level?.DifferenceC ?? 0, level?.UncertaintyC ?? 0);
            if (!Work(history, aim, more).TryGet(out var middle, out var refusal)
                || !Work(history, aim, more - give).TryGet(out var low, out refusal)
                || !Work(history, aim, more + give).TryGet(out var high, out refusal)) return refusal;
            forecasts.Add(new LevelForecast(
                level, history.PeakC + more, middle.Equivalent, Progress(middle, aim), Progress(low, aim), Progress(high, aim)));
        }
        return forecasts;
    }

    private static double Progress(HeatWorkAnswer work, FiringAim aim) => work.Cones.FirstOrDefault(c => c.Cone == aim.Cone)?.Progress ?? 0;

    private static Result<HeatWorkAnswer> Work(TemperatureHistory history, FiringAim aim, double moreC)
    {
        var celsius = history.Celsius.ToArray();
        for (var i = 0; i < celsius.Length; i++) celsius[i] += moreC;
        return TemperatureHistory.Of(history.Seconds, celsius).Then(moved => HeatWork.Of(aim.Series, moved));
    }
}
