using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;

namespace KilnShare.Core.Loading.Search;

/// <summary>
/// Improves a plan by moves: for more value while something waits, then for less height.
/// </summary>
internal sealed class Improvement(InstanceContext context, LevelBuilder builder, bool fromStart = false)
{
    private readonly LoadInstance instance = context.Instance;
    private readonly SearchBudget budget = context.Budget;
    private readonly SeededRandom random = context.Random;
    private readonly Neighbourhood neighbourhood = new(context, builder, fromStart);

    /// <summary>More value, or as much and lower.</summary>
    public static bool IsBetter(LoadInstance instance, PartialPlan a, PartialPlan b)
    {
        if (a.Value != b.Value) return a.Value > b.Value;
        return WareTopOf(instance, a) < WareTopOf(instance, b);
    }

    private readonly int patience = fromStart ? SearchTuning.PatienceFromStart : SearchTuning.Patience;

    // Where the search for more value stands.
    private PartialPlan? climbing;
    private int sinceBetter;

    /// <summary>Searches for more value until the budget is spent; once everything is placed, for less height, unless there was a start plan.</summary>
    public PartialPlan Improve(PartialPlan start)
    {
        var best = start;
        while (!budget.Stop)
        {
            if (!best.Pool.IsEmpty) best = AddValue(best);
            else if (!fromStart && Lower(best) is { } lower) best = lower;
            else break;
        }

        return best;
    }

    private PartialPlan AddValue(PartialPlan start)
    {
        if (start.Levels.Count > 1 && neighbourhood.MayVary) return new SuccessiveHalving(context, neighbourhood).Improve(start);
        (climbing, sinceBetter) = (null, 0);
        return Climb(start, long.MaxValue);
    }

    /// <summary>Searches for more value by so many moves at most, from where the last such search ended.</summary>
    public PartialPlan Climb(PartialPlan start, long changes)
    {
        var (best, current, since) = (start, climbing ?? start, sinceBetter);
        for (; changes > 0 && !budget.Stop && !best.Pool.IsEmpty; changes--)
        {
            budget.Tick();
            var trial = neighbourhood.Near(current);
            since++;
            if (trial is not null && trial.Value >= current.Value * (1 - (SearchTuning.Leniency * random.Unit()))) current = trial;
            if (IsBetter(instance, current, best)) (best, since) = (current, 0);
            if (since > patience) (current, since) = (best, 0);
        }

        (climbing, sinceBetter) = (current, since);
        return best;
    }

    // The same ware under a lower lid; null when the load is as low as it can be, or the budget is spent.
    private PartialPlan? Lower(PartialPlan best)
    {
        var top = WareTopOf(instance, best);
        if (top <= HeightBound.Of(instance, best)) return null;
        var lowered = instance.Below(top - 1);
        var below = context with { Instance = lowered };
        return new Improvement(below, new LevelBuilder(below)).PlaceAll(best);
    }

    private PartialPlan? PlaceAll(PartialPlan from)
    {
        neighbourhood.ByArea = true;
        var current = Cut(from);
        var (least, since) = (double.PositiveInfinity, 0);
        while (!budget.Stop)
        {
            if (current.Pool.IsEmpty) return current;
            budget.Tick();
            if (neighbourhood.Near(current) is { } trial
                && trial.Pool.WaitingArea <= current.Pool.WaitingArea * (1 + (SearchTuning.LeniencyOfArea * random.Unit()))) current = trial;
            since++;
            if (current.Pool.WaitingArea < least) (least, since) = (current.Pool.WaitingArea, 0);
            if (since > SearchTuning.PatiencesUnderLid * patience) (current, least, since) = (Cut(from), double.PositiveInfinity, 0);
        }

        return null;
    }

    // Takes levels out until the rest is under the lid, and builds levels again in the height there is.
    private PartialPlan Cut(PartialPlan from)
    {
        var trial = from.Copy();
        while (trial.Levels.Count > 0)
        {
            LevelRebuild.TakeOut(trial, trial.Levels[^1].CarriesPosts && !instance.HasKeepOuts ? random.Below(trial.Levels.Count) : trial.Levels.Count - 1);
            if (Elevations.Of(instance, trial) is not null) break;
        }

        neighbourhood.Levels.Build(trial);
        return trial;
    }

    private static long WareTopOf(LoadInstance instance, PartialPlan plan) => Elevations.Of(instance, plan)?.WareTop ?? long.MaxValue;
}
