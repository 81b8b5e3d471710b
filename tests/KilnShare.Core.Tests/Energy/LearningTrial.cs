using KilnShare.Core.Energy;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Tests.Energy;

/// <summary>How well synthetic kilns are learnt: each has a loss factor and a power of its own, and a meter that is off a little.</summary>
/// <param name="MedianErrorPercent">Of a forecast from what it truly takes.</param>
/// <param name="MedianHalfWidthPercent">Of the next firing.</param>
/// <param name="NextWithin">The part of next meter readings within the interval that is said for them.</param>
/// <param name="MeanWithin">The part of true energies within the interval that is said for the mean.</param>
public sealed record LearningTrial(double MedianErrorPercent, double MedianHalfWidthPercent, double NextWithin, double MeanWithin)
{
    private const int ForecastsPerKiln = 3;
    private const double SpreadOfKilns = 0.1129;

    /// <summary>The trial with so many kilns; the same seed gives the same kilns.</summary>
    public static LearningTrial Of(KilnHeat believed, int kilns, int firings, double noise, int seed)
    {
        var dice = new Random(seed);
        var (errors, widths, next, mean) = (new List<double>(), new List<double>(), 0, 0);
        for (var i = 0; i < kilns; i++)
        {
            // Energy goes about with the root of the factor.
            var truth = believed with
            {
                LossFactor = Math.Clamp(
                Math.Exp(2 * SpreadOfKilns * Normal(dice)), 0.4, 2.5),
                RatedKw = 11.5 * (1 + 0.05 * Normal(dice))
            };
            var learnt = LearntKiln.From(believed, [.. Enumerable.Range(0, firings).Select(_ => Metered(truth, dice, noise))]);
            widths.Add(learnt.HalfWidthPercent);
            for (var j = 0; j < ForecastsPerKiln; j++)
            {
                var (asked, shown) = (Firing(dice), Math.Exp(noise * Normal(dice)));
                var (forecast, really) = (Run(learnt.ApplyTo(believed), asked).Balance.Electric, Run(truth, asked).Balance.Electric);
                errors.Add(100 * Math.Abs(forecast / really - 1));
                if (Math.Abs(really * shown / forecast - 1) * 100 <= learnt.HalfWidthPercent) next++;
                if (Math.Abs(really / forecast - 1) * 100 <= learnt.MeanHalfWidthPercent) mean++;
            }
        }
        return new LearningTrial(Median(errors), Median(widths), (double)next / errors.Count, (double)mean / errors.Count);
    }

    private static MeteredFiring Metered(KilnHeat truth, Random dice, double noise)
    {
        var firing = Firing(dice);
        var run = Run(truth, firing);
        return firing with { MeteredKwh = run.Balance.Electric / 3.6e6 * Math.Exp(noise * Normal(dice)), Log = LearntKilnTests.LogOf(run) };
    }

    private static MeteredFiring Firing(Random dice)
    {
        var room = 10 + 15 * dice.NextDouble();
        var load = new LoadHeat(15 + 30 * dice.NextDouble(), 15 + 15 * dice.NextDouble(), dice.Next(2) == 0 ? Stage.Greenware : Stage.Bisque);
        return new MeteredFiring(
            load, room, new PowerProgramme(room, [new(100, 600, 0), new(100 + 50 * dice.NextDouble(), 1000 + 222 * dice.NextDouble(), 10)]), 1);
    }

    private static KilnRun Run(KilnHeat kiln, MeteredFiring firing) =>
        KilnModel.Run(
            kiln, firing.Load, firing.AmbientC, firing.Programme, new KilnModelOptions(SlabsPerLayer: 12, HeatingStepSeconds: 60, CoolingStepSeconds: 7200));

    private static double Normal(Random dice) => Math.Sqrt(-2 * Math.Log(1 - dice.NextDouble())) * Math.Cos(2 * Math.PI * dice.NextDouble());

    private static double Median(List<double> values)
    {
        var sorted = values.Order().ToArray();
        return (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]) / 2;
    }
}
