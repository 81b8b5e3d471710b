using System.Diagnostics;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;

namespace KilnShare.Benchmarks.Energy;

/// <summary>One forecast of a firing, learning a kiln, and the heat-work of a million readings: medians and worst of several, milliseconds.</summary>
internal static class EnergyTimes
{
    private const int Rounds = 31;
    private const int Readings = 1_000_000;

    private static readonly KilnHeat Kiln = new(
        new Chamber(new Footprint.Circle(Length.OfMm(585)), Length.OfMm(685), Length.Zero, Length.Zero), 11.5,
            [new(WallMaterial.Firebrick23, Length.OfMm(76))]);

    private static readonly LoadHeat Load = new(40, 25, Stage.Bisque);

    private static readonly PowerProgramme Programme = new(15, [new(100, 600, 0), new(150, 1222, 15)]);

    /// <summary>True where both limits are kept: a forecast under 20 ms, a million readings under one second.</summary>
    public static bool Print()
    {
        Console.WriteLine("| measure | median ms | worst ms | limit ms |\n| --- | --- | --- | --- |");
        var forecast = Row(
            "forecast of one firing", 20, Rounds, () => FiringEnergy.Forecast(new FiringEnergyRequest(Kiln, Load, 15, Programme)).Value.EnergyKwh);
        var firings = Enumerable.Range(0, 10).Select(i => new MeteredFiring(Load with { WareKg = 20 + (3 * i) }, 15, Programme, 60 + i)).ToArray();
        Row("a kiln learnt from ten firings", null, 5, () => LearntKiln.From(Kiln, firings).LossFactor);
        var history = History();
        var heatWork = Row("heat-work of a million readings", 1000, 5, () => HeatWork.Of(ConeSeries.SelfSupporting, history).Value.PeakC);
        return forecast && heatWork;
    }

    private static TemperatureHistory History()
    {
        var (seconds, celsius) = (new double[Readings], new double[Readings]);
        for (var i = 0; i < Readings; i++) (seconds[i], celsius[i]) = (i * 0.1, 700 + (600.0 * i / Readings));
        return TemperatureHistory.Of(seconds, celsius).Value;
    }

    private static bool Row(string measure, double? limitMs, int rounds, Func<double> run)
    {
        run();
        var times = new double[rounds];
        for (var i = 0; i < rounds; i++)
        {
            var clock = Stopwatch.GetTimestamp();
            run();
            times[i] = Stopwatch.GetElapsedTime(clock).TotalMilliseconds;
        }

        Array.Sort(times);
        Console.WriteLine(
            $"| {measure} | {times[rounds / 2]:0.0} | {times[^1]:0.0} | "
                + $"{limitMs?.ToString("0", System.Globalization.CultureInfo.InvariantCulture) ?? "none"} |");
        return limitMs is null || times[rounds / 2] < limitMs;
    }
}
