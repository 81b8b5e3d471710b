using KilnShare.Core.Cones;

namespace KilnShare.Core.Energy;

/// <summary>A firing of the kiln whose energy was metered.</summary>
/// <param name="Load">What was in.</param>
/// <param name="AmbientC">The room.</param>
/// <param name="Programme">What the controller was to do.</param>
/// <param name="MeteredKwh">What it took.</param>
/// <param name="Log">Its log, s and °C; null: there is none.</param>
/// <param name="SeenKw">The greatest power that was read over some while; the elements give that at least. Null: not read.</param>
public sealed record MeteredFiring(
    LoadHeat Load, double AmbientC, PowerProgramme Programme, double MeteredKwh, TemperatureHistory? Log = null, double? SeenKw = null);

/// <summary>What a kiln's own metered firings say of it.</summary>
/// <param name="LossFactor">How much more heat its wall lets through than the brick alone.</param>
/// <param name="AvailableKw">The power its elements give.</param>
/// <param name="HalfWidthPercent">What the next firing's meter shows is within so much of the forecast nine times in ten.</param>
/// <param name="MeanHalfWidthPercent">The mean over many such firings is within so much of the forecast nine times in ten.</param>
/// <param name="Firings">How many were learnt from; 0: nothing has been learnt.</param>
public sealed record LearntKiln(double LossFactor, double AvailableKw, double HalfWidthPercent, double MeanHalfWidthPercent, int Firings)
{
    /// <summary>Spread of forecasts over kilns nothing is known of, and of one kiln's firings around its own mean, in ln(energy).</summary>
    /// <remarks>
    /// The second: loads and rooms are known within some percent (common practice, no source); both together are an unlearnt kiln's half-width.
    /// </remarks>
    private const double BetweenKilns = 0.1129;
    private const double BetweenFirings = 0.045;

    /// <summary>Nine times in ten. Source: tables of the normal distribution.</summary>
    private const double NineInTen = 1.6449;

    /// <summary>
    /// The error of a median over that of a mean of a normal sample, √(π/2) (Huber, as below), and a tenth more, since the spread itself is
    /// estimated from few (derived: so that 200 synthetic kilns are within their intervals as often as is said).
    /// </summary>
    private const double MedianOverMean = 1.1 * 1.2533;

    /// <summary>The spread between firings is believed as if it had been seen in so many.</summary>
    private const double BelievedFirings = 20;

    /// <summary>The newest so many are learnt from: older ones saw younger elements, and each takes some fifty runs of the model.</summary>
    public const int MostFirings = 30;

    private const double MadToSigma = 1.4826;
    private const int Rounds = 2;

    /// <summary>d ln(energy) / d ln(factor) to begin with, and the least that is believed; where a search for a factor ends.</summary>
    private const double FirstSlope = 0.5;
    private const double LeastSlope = 0.05;
    private const double CloseEnough = 0.0005;
    private const int MostSecants = 12;

    /// <summary>Elements give no more than so many times what is on the plate: mains voltage and tolerances (common practice, no source).</summary>
    private const double BelievedPower = 1.2;

    /// <summary>Elements age: the newest so many firings with a log tell what they give now. One odd log among them is outvoted.</summary>
    private const int FiringsThatTellPower = 5;

    /// <summary>Coarser than a forecast: learning takes many runs.</summary>
    private static readonly KilnModelOptions Coarse = new(SlabsPerLayer: 12, HeatingStepSeconds: 60, CoolingStepSeconds: 3600);

    /// <summary>
    /// Loss factor and power from the kiln's firings. Each firing alone gives the factor that reproduces its kWh; the median of their logarithms,
    /// shrunk towards the factor as written while firings are few, is the kiln's, so that a misread meter among them does not count.
    /// </summary>
    /// <remarks>
    /// Source: median and median absolute deviation, Huber, "Robust Statistics" (1981), chapter 5; shrinking by the normal prior's precision
    /// (textbook). Units: 1, kW, %. Valid for: firings of one kiln in one state. Accuracy: as stated in the half-widths, at 90 %.
    /// </remarks>
    /// <param name="kiln">As it was believed to be.</param>
    /// <param name="metered">Oldest first.</param>
    public static LearntKiln From(KilnHeat kiln, IReadOnlyList<MeteredFiring> metered)
    {
        var firings = metered.TakeLast(MostFirings).ToArray();
        if (firings.Any(f => !(f.MeteredKwh > 0))) throw new ArgumentException("A metered firing took more than 0 kWh.", nameof(metered));
        var (factor, kw) = (kiln.LossFactor, kiln.AvailableKw);
        double[] residuals = [];
        for (var round = 0; round < Rounds && firings.Length > 0; round++)
        {
            kw = Power(With(kiln, factor, kw), firings);
            var now = With(kiln, factor, kw);
            var own = firings.Select(f => Math.Log(FactorOf(now, f) / kiln.LossFactor)).ToArray();
            factor = kiln.LossFactor * Math.Exp(Robust.Median(own) * Trust(firings.Length));
            residuals = firings.Select(f => Math.Log(f.MeteredKwh / EnergyKwh(With(kiln, factor, kw), f))).ToArray();
        }
        var (next, mean) = firings.Length == 0 ? Unlearnt(kiln) : HalfWidths(residuals);
        return new LearntKiln(factor, kw, next, mean, firings.Length);
    }

    /// <summary>The kiln as it has been learnt, to forecast with.</summary>
    public KilnHeat ApplyTo(KilnHeat kiln) => With(kiln, LossFactor, AvailableKw);

    private static KilnHeat With(KilnHeat kiln, double factor, double kw) =>
        kiln with { LossFactor = factor, RatedKw = kw, ElementGrowthPercent = 0 };

    private static double Trust(int firings)
    {
        var own = firings / (BetweenFirings * BetweenFirings);
        return own / (own + 1 / (BetweenKilns * BetweenKilns));
    }

    private static (double Next, double Mean) Unlearnt(KilnHeat kiln) => (UnlearntWidth.Percent(kiln.Chamber), UnlearntWidth.Percent(kiln.Chamber));

    /// <summary>Of the next firing, and of the mean, percent.</summary>
    private static (double Next, double Mean) HalfWidths(double[] residuals)
    {
        var n = residuals.Length;
        var seen = n > 1 ? MadToSigma * Robust.Median(residuals.Select(r => Math.Abs(r - Robust.Median(residuals))).ToArray()) : 0;
        var within = n > 1
            ? Math.Sqrt((BelievedFirings * BetweenFirings * BetweenFirings + n * seen * seen) / (BelievedFirings + n))
            : BetweenFirings;
        var error = within * (n > 2 ? MedianOverMean : 1);
        var mean = 1 / (1 / (BetweenKilns * BetweenKilns) + n / (error * error));
        return (100 * NineInTen * Math.Sqrt(mean + within * within), 100 * NineInTen * Math.Sqrt(mean));
    }

    /// <summary>
    /// The median over the newest firings' own full power, and no less than most of them gave at their hardest, nor than a meter showed; where none was ever at
    /// full power, what is believed.
    /// </summary>
    private static double Power(KilnHeat kiln, IReadOnlyList<MeteredFiring> firings)
    {
        var shown = firings.Where(f => f.Log is not null).TakeLast(FiringsThatTellPower).Select(f => FullPower.Of(kiln, f, Coarse)).ToArray();
        var full = shown.Select(p => p.Kw).OfType<double>().ToArray();
        if (full.Length == 0) return kiln.RatedKw;
        // What the meter showed is power that the elements gave. More than this is a misread meter.
        var read = firings.Select(f => f.SeenKw ?? 0).Where(kw => kw <= BelievedPower * kiln.RatedKw).DefaultIfEmpty(0).Max();
        return Math.Max(read, Math.Max(Robust.Median(full), Robust.Median([.. shown.Select(p => p.AtLeastKw).OfType<double>()])));
    }

    /// <summary>The factor that reproduces a firing's energy: secants between logarithms, which bend little; an end of the range where none does.</summary>
    private static double FactorOf(KilnHeat kiln, MeteredFiring firing)
    {
        var wanted = Math.Log(firing.MeteredKwh);
        var (least, most) = (Math.Log(EnergyLimits.LeastLossFactor), Math.Log(EnergyLimits.MostLossFactor));
        var (at, slope) = (Math.Log(kiln.LossFactor), FirstSlope);
        var miss = Miss(at);
        for (var i = 0; i < MostSecants && Math.Abs(miss) > CloseEnough; i++)
        {
            var next = Math.Clamp(at - miss / slope, least, most);
            if (Math.Abs(next - at) < CloseEnough) break;
            var nextMiss = Miss(next);
            if ((nextMiss - miss) / (next - at) is > LeastSlope and var seen) slope = seen;
            (at, miss) = (next, nextMiss);
        }
        return Math.Exp(at);

        double Miss(double lnFactor) => Math.Log(EnergyKwh(kiln with { LossFactor = Math.Exp(lnFactor) }, firing)) - wanted;
    }

    private static KilnRun Run(KilnHeat kiln, MeteredFiring firing) => KilnModel.Run(kiln, firing.Load, firing.AmbientC, firing.Programme, Coarse);

    private static double EnergyKwh(KilnHeat kiln, MeteredFiring firing) => Run(kiln, firing).Balance.Electric / 3_600_000;
}
