using KilnShare.Core.Energy;
using KilnShare.Core.Firings;

namespace KilnShare.Core.Costs.Quotes;

/// <summary>What energy a firing is taken to need when it is quoted.</summary>
/// <param name="Kwh">So much.</param>
/// <param name="HalfWidthPercent">Give or take.</param>
/// <param name="Sentence">Where the figure comes from.</param>
public sealed record EnergyAssumption(decimal Kwh, decimal HalfWidthPercent, string Sentence)
{
    /// <summary>So many of the newest metered firings count.</summary>
    public const int MostFirings = 5;

    private const decimal LeastHalfWidthPercent = 10; // loads differ that much: common practice, no source
    private const decimal OneFiringHalfWidthPercent = 20;
    private const decimal DutyHalfWidthPercent = 30;

    /// <summary>
    /// The mean of the kiln's last metered firings of that kind and cone; without any, rated power times hours times the usual duty. Null when
    /// neither is known.
    /// </summary>
    /// <remarks>
    /// Source: duty of rated power 50 % in a bisque, 65 % in a glaze firing to cone 6: kiln makers' published figures; the others taken from the
    /// nearer of the two. Units: kWh. Half-width: the farthest firing from the mean, 10 % at the least (common practice, no source).
    /// </remarks>
    public static EnergyAssumption? Of(IReadOnlyList<decimal> lastKwh, decimal? ratedKw, decimal hours, FiringKind kind)
    {
        if (lastKwh.Count > 0) return OfFirings(lastKwh);
        if (ratedKw is not { } kw) return null;
        var duty = kind is FiringKind.Glaze or FiringKind.SingleFire ? 0.65m : 0.50m;
        return new EnergyAssumption(
            Math.Round(Duty.Kwh(kw, [(hours, duty)]), 3), DutyHalfWidthPercent,
            $"No firing of this kind and cone was metered in this kiln yet: {kw:0.###} kW rated, {hours:0.###} h, {duty * 100:0} % of the time on, give or "
                + $"take {DutyHalfWidthPercent} %.");
    }

    private static EnergyAssumption OfFirings(IReadOnlyList<decimal> kwh)
    {
        var mean = Math.Round(kwh.Average(), 3);
        var farthest = kwh.Max(k => Math.Abs(k - mean));
        var width = kwh.Count == 1 ? OneFiringHalfWidthPercent
            : mean == 0 ? LeastHalfWidthPercent : Math.Min(100, Math.Max(LeastHalfWidthPercent, Math.Ceiling(farthest / mean * 100)));
        return new EnergyAssumption(mean, width,
            $"The mean of the last {kwh.Count} metered firings of this kind and cone in this kiln: {mean:0.###} kWh, give or take {width:0} %.");
    }
}
