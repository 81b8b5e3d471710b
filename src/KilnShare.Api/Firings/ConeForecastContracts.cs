using KilnShare.Api.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Api.Firings;

/// <summary>What a firing is forecast to do at one place in its kiln.</summary>
public sealed record LevelForecastContract
{
    /// <summary>The level, in the studio's words; null for the thermocouple's own place.</summary>
    public required string? Level { get; init; }

    /// <summary>Usual difference from the target, °C of the cone table; 0 at the thermocouple.</summary>
    public required double DifferenceC { get; init; }

    /// <summary>One standard deviation of it.</summary>
    public required double UncertaintyC { get; init; }

    /// <summary>On how many firings it rests.</summary>
    public required int Firings { get; init; }

    /// <summary>The hottest there.</summary>
    public required double PeakC { get; init; }

    /// <summary>What its heat-work amounts to there.</summary>
    public required HeatWorkEquivalentContract Equivalent { get; init; }

    /// <summary>How far the target cone comes; 1 is down.</summary>
    public required double TargetProgress { get; init; }

    /// <summary>The same, one standard deviation cooler.</summary>
    public required double TargetProgressLow { get; init; }

    /// <summary>The same, one standard deviation hotter.</summary>
    public required double TargetProgressHigh { get; init; }
}

/// <summary>What a firing is forecast to do, place by place.</summary>
public sealed record ConeForecastAnswer
{
    /// <summary>The cone it is to bring down, with its temperature.</summary>
    public required ConeEquivalentContract? TargetCone { get; init; }

    /// <summary>The thermocouple's place first, then each level that witness cones have taught something of.</summary>
    public required IReadOnlyList<LevelForecastContract> Places { get; init; }

    /// <summary>What to mind.</summary>
    public required string Caution { get; init; }

    /// <summary>The answer for forecasts.</summary>
    public static ConeForecastAnswer Of(FiringAim aim, IReadOnlyList<LevelForecast> forecasts) => new()
    {
        TargetCone = ConeEquivalentContract.At(aim.Series, aim.Cone),
        Places = [.. forecasts.Select(f => new LevelForecastContract
        {
            Level = f.Level?.Level,
            DifferenceC = Math.Round(f.Level?.DifferenceC ?? 0, 1),
            UncertaintyC = Math.Round(f.Level?.UncertaintyC ?? 0, 1),
            Firings = f.Level?.Firings ?? 0,
            PeakC = Math.Round(f.PeakC, 1),
            Equivalent = HeatWorkEquivalentContract.Of(f.Equivalent),
            TargetProgress = Math.Round(f.TargetProgress, 4),
            TargetProgressLow = Math.Round(f.LowProgress, 4),
            TargetProgressHigh = Math.Round(f.HighProgress, 4),
        })],
        Caution = Core.Cones.HeatWork.Caution,
    };
}
