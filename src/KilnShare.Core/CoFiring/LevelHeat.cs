using KilnShare.Core.Cones;
using KilnShare.Core.Firings;

namespace KilnShare.Core.CoFiring;

/// <summary>A piece that a kiln's level would take out of its range, though the firing's cone is within it.</summary>
/// <param name="Level">What the level usually does, learnt from witness cones.</param>
/// <param name="Reached">The cone it comes to there.</param>
/// <param name="Limit">The end of the range it passes.</param>
/// <param name="IsHot">True where it passes the upper end.</param>
/// <param name="Of">Whose range it is.</param>
public sealed record LevelMisfit(WitnessHabit Level, Cone Reached, Cone Limit, bool IsHot, string Of);

/// <summary>Which levels of a kiln do not suit a piece.</summary>
public static class LevelHeat
{
    /// <summary>A cone that is short of its end point by less has done most of its bending.</summary>
    /// <remarks>Source: the cone maker's table (2016): bending takes 15 to 25 min, 20 °C at 60 °C/h; a quarter of that.</remarks>
    private const double NearlyDownC = 5;

    private const double UsualRateCPerHour = 60;

    /// <summary>The levels that would take a piece out of a range that the firing's cone is within, by more than their uncertainty.</summary>
    public static IReadOnlyList<LevelMisfit> Misfits(FiringPlan firing, Ware ware)
    {
        if (firing.Levels.Count == 0) return [];
        var found = new List<LevelMisfit>();
        foreach (var level in firing.Levels)
        {
            foreach (var bound in ConeBounds.Of(firing.Kind, ware))
            {
                if (Misfit(firing, level, bound) is not { } misfit) continue;
                found.Add(misfit with { Of = bound.Layer is null ? ware.Clay.Name : bound.Name });
                break;
            }
        }
        return found;
    }

    private static LevelMisfit? Misfit(FiringPlan firing, WitnessHabit level, ConeBound bound)
    {
        if (!bound.IsComparable(firing.Series) || level is not { DifferenceC: { } difference, UncertaintyC: { } uncertainty }) return null;
        var sure = Math.Max(0, Math.Abs(difference) - uncertainty);
        if (difference > 0 && firing.Cone <= bound.Range.To && Reached(firing, sure) is var hot && hot > bound.Range.To)
            return new LevelMisfit(level, hot, bound.Range.To, true, "");
        if (difference < 0 && bound.CountsBelow && firing.Cone >= bound.Range.From && Reached(firing, NearlyDownC - sure) is var cold
            && cold < bound.Range.From)
            return new LevelMisfit(level, cold, bound.Range.From, false, "");
        return null;
    }

    /// <summary>The hottest cone that is down where it is so much hotter than the firing's cone.</summary>
    private static Cone Reached(FiringPlan firing, double moreC)
    {
        var rates = ConeTables.TabulatedRatesCPerHour(firing.Series);
        var table = ConeTables.List(firing.Series, rates.Contains(UsualRateCPerHour) ? UsualRateCPerHour : rates[0]);
        if (table.FirstOrDefault(c => c.Cone == firing.Cone) is not { } target) return firing.Cone;
        var down = table.Where(c => c.Celsius <= target.Celsius + moreC).Select(c => c.Cone).ToList();
        return down.Count == 0 ? table[0].Cone : down.Max();
    }
}
