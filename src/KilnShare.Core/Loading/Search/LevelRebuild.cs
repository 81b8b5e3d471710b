using KilnShare.Core.Loading.Levels;

namespace KilnShare.Core.Loading.Search;

/// <summary>Moves by which whole levels are taken out and built again otherwise.</summary>
internal sealed class LevelRebuild(
    InstanceContext context, LevelBuilder builder, DestroyAndRepair repair, EjectionChain chain, Raise raise, bool fromStart)
{
    private readonly LoadInstance instance = context.Instance;

    /// <summary>Adds levels on top of those there are, in an order drawn anew.</summary>
    public void Build(PartialPlan plan)
    {
        var random = context.Random;
        int? splitAt = random.Below(3) == 0 ? plan.Levels.Count + random.Below(2) : null;
        builder.Build(plan, (Preference)random.Below(4), SearchTuning.RebuildNoise, context.Options.SearchRounds, splitAt);
    }

    /// <summary>Gives what stands on a level back to the pool, and takes the level out.</summary>
    public static void TakeOut(PartialPlan plan, int level)
    {
        LevelBuilder.GiveBack(plan.Levels[level], plan.Pool);
        plan.Levels.RemoveAt(level);
    }

    /// <summary>The plan with one to three levels built otherwise, or from a start plan one or two; null where it has none.</summary>
    public PartialPlan? Try(PartialPlan plan)
    {
        if (plan.Levels.Count == 0) return null;
        var random = context.Random;
        var trial = plan.Copy();
        var anew = instance.Layouts.Count > 1 && plan.Kept is null && !fromStart && random.Below(SearchTuning.RebuildsToOneWhole) == 0;
        var count = anew ? trial.Levels.Count : Math.Min(trial.Levels.Count, 1 + random.Below(fromStart ? 2 : SearchTuning.MostLevelsRebuilt));
        TakeOutSome(trial, count);
        if (anew) trial = new PartialPlan(instance.Layouts[random.Below(instance.Layouts.Count)], [], trial.Pool);
        var first = trial.Levels.Count;
        Build(trial);
        return instance.MostlyRectangles || fromStart ? trial : Refilled(trial, first);
    }

    /// <summary>All levels built otherwise, but for what must stay.</summary>
    public PartialPlan Anew(PartialPlan plan)
    {
        var trial = plan.Copy();
        while (trial.Levels.Count > 0) TakeOut(trial, trial.Levels.Count - 1);
        if (plan.Kept is null) trial = new PartialPlan(instance.Layouts[context.Random.Below(instance.Layouts.Count)], [], trial.Pool);
        Build(trial);
        return Improved(trial);
    }

    /// <summary>One to three levels built otherwise, for a search that begins from there.</summary>
    public PartialPlan WithOtherLevels(PartialPlan plan)
    {
        var trial = plan.Copy();
        TakeOutSome(trial, Math.Min(trial.Levels.Count, 1 + context.Random.Below(SearchTuning.MostLevelsRebuilt)));
        Build(trial);
        return Improved(trial);
    }

    // The uppermost goes first: its height is only what was left over.
    private void TakeOutSome(PartialPlan plan, int count)
    {
        for (var k = 0; k < count; k++)
            TakeOut(plan, instance.HasKeepOuts || k == 0 ? plan.Levels.Count - 1 : context.Random.Below(plan.Levels.Count));
    }

    // New levels are refilled here and there before they are compared with what has been improved for long.
    private PartialPlan Refilled(PartialPlan plan, int first)
    {
        for (var i = SearchTuning.RefillsPerNewLevel * (plan.Levels.Count - first); i > 0 && !context.Budget.Stop && !plan.Pool.IsEmpty; i--)
        {
            context.Budget.Tick();
            if (repair.Try(plan, first) is { } refilled && refilled.Value >= plan.Value) plan = refilled;
        }

        return plan;
    }

    // The same at greater length and by chains too; no change that loses value is taken.
    private PartialPlan Improved(PartialPlan plan)
    {
        for (var i = 0; i < SearchTuning.ChangesOfNewcomer && !context.Budget.Stop && !plan.Pool.IsEmpty; i++)
        {
            context.Budget.Tick();
            var from = raise.Of(plan);
            if ((context.Random.Below(1000) < SearchTuning.Chains ? chain.Try(from, 0) : repair.Try(from)) is { } changed
                && changed.Value >= plan.Value) plan = changed;
        }

        return plan;
    }
}
