using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>The changes by which a search goes from one plan of levels to another near it.</summary>
internal sealed partial class Neighbourhood(InstanceContext context, LevelBuilder builder, bool fromStart)
{
    private readonly LoadInstance instance = context.Instance;
    private readonly LoadOptions options = context.Options;
    private readonly SearchBudget budget = context.Budget;
    private readonly SeededRandom random = context.Random;

    private const int PolishesPerLevel = 3;

    // Where posts could stand otherwise, each so many-th rebuilding begins on the floor.
    private const int WholesPerDesign = 8;

    private readonly bool mostlyRectangles = context.Instance.MostlyRectangles;
    private readonly bool valuesDiffer = context.Instance.Problem.Pieces.Select(p => p.Priority).Distinct().Skip(1).Any();
    private int hops = context.Options.FirstHops;

    /// <summary>True where it matters what covers most, not what is worth most.</summary>
    public bool ByArea { get; set; }

    /// <summary>Levels on top of those there are, in an order drawn anew.</summary>
    public void Build(PartialPlan plan)
    {
        int? splitAt = random.Below(3) == 0 ? plan.Levels.Count + random.Below(2) : null;
        builder.Build(plan, (Preference)random.Below(4), 0.3, options.SearchRounds, splitAt);
    }

    /// <summary>Gives what stands on a level back to the pool, and takes the level out.</summary>
    public static void TakeOut(PartialPlan plan, int level)
    {
        LevelBuilder.GiveBack(plan.Levels[level], plan.Pool);
        plan.Levels.RemoveAt(level);
    }

    // New levels are refilled here and there before they are compared with what has been improved for long.
    private PartialPlan Polished(PartialPlan plan, int first)
    {
        for (var i = PolishesPerLevel * (plan.Levels.Count - first); i > 0 && !budget.Stop && !plan.Pool.IsEmpty; i--)
        {
            budget.Tick();
            if (Refilled(plan, first) is { } refilled && refilled.Value >= plan.Value) plan = refilled;
        }

        return plan;
    }

    /// <summary>A plan that differs by one change; null where the change drawn does not go.</summary>
    public PartialPlan? Near(PartialPlan plan)
    {
        var chances = ChancesFor(plan);
        if (random.Below(1000) < chances.Hops) return Hopped(plan);
        var draw = random.Below(1000);
        if (draw < chances.Squeezes) return Squeezed(plan);
        if (draw < chances.Squeezes + chances.Rebuilds) return Rebuilt(plan);
        if (mostlyRectangles) return Exchanged(plan);
        return random.Below(1000) < chances.Replacements ? Replaced(plan) : Refilled(plan);
    }

    // Of a thousand changes. Rectangles seldom gain from being pushed about, and rebuilding is dear: there the small changes come first.
    // From a start plan what moves least comes first. Where all weigh the same nothing is gained by one in another's stead, but by one more.
    private (int Hops, int Squeezes, int Rebuilds, int Replacements) ChancesFor(PartialPlan plan)
    {
        var several = plan.Levels.Count > 1;
        var layouts = instance.Layouts.Count > 1;
        if (mostlyRectangles) return (0, 1, several ? 20 : 1, 0);
        if (fromStart || ByArea || !valuesDiffer)
            return (several ? options.HopsPerThousand / 60 : options.HopsPerThousand, several && !fromStart ? 50 : 300, several || layouts ? 100 : 20, 0);
        return several ? (5, 50, 50, 200) : (15, 50, layouts ? 100 : 20, 850);
    }

    // Rectangles of one shelf are exchanged many times over.
    private PartialPlan? Exchanged(PartialPlan plan)
    {
        var trial = plan.Copy();
        if (AnyShelves(trial) is not { } trays) return null;
        var tray = trays[random.Below(trays.Count)];
        if (!RectangleSearch.CanSearch(trial.Pool, instance.Distances)) return Refilled(plan);
        return RectangleSearch.Run(tray, trial.Pool, instance.Distances, budget, random, options.Exchanges, ByArea) ? Sound(trial) : null;
    }

    // One waiting copy is squeezed in.
    private PartialPlan? Squeezed(PartialPlan plan)
    {
        var trial = plan.Copy();
        if (AnyWaiting(trial.Pool) is not { } item || AnyShelves(trial) is not { } trays) return null;
        if (!builder.Filling.TryCheaply(trays, item) && !builder.Filling.TrySqueeze(trays, item, options.SearchRounds)) return null;
        trial.Pool.Waiting[item.Index]--;
        return Sound(trial);
    }

    // One waiting copy is given a long search on one shelf; the longer the more such searches have failed.
    private PartialPlan? Hopped(PartialPlan plan)
    {
        var trial = plan.Copy();
        if (AnyWaiting(trial.Pool) is not { } item || AnyShelves(trial) is not { } trays) return null;
        hops = Math.Min(options.MostHops, hops + (hops / 4));
        if (!builder.Filling.TryHop(trays[random.Below(trays.Count)], item, hops)) return null;
        hops = context.Options.FirstHops;
        trial.Pool.Waiting[item.Index]--;
        return Sound(trial);
    }

    private Item? AnyWaiting(ItemPool pool)
    {
        var waiting = pool.All.Where(w => pool.Waiting[w.Index] > 0).ToList();
        return waiting.Count == 0 ? null : waiting[random.Below(waiting.Count)];
    }

    private IReadOnlyList<Tray>? AnyShelves(PartialPlan plan, int first = 0)
    {
        var kept = plan.Kept is null ? 0 : 1;
        if (plan.Levels.Count + kept == first) return null;
        var at = first + random.Below(plan.Levels.Count + kept - first);
        return at < plan.Levels.Count ? plan.Levels[at].Trays : plan.Kept!.Trays;
    }

    private PartialPlan? Sound(PartialPlan plan)
    {
        foreach (var level in plan.Levels) Balancing.Ensure(instance, plan.Layout, level, plan.Pool);
        if (plan.Kept is { } kept && !Balancing.Ensure(instance, kept, plan.Pool)) return null;
        return Elevations.Of(instance, plan) is null ? null : plan;
    }

    private PartialPlan? Rebuilt(PartialPlan plan)
    {
        if (plan.Levels.Count == 0) return null;
        var trial = plan.Copy();
        var anew = instance.Layouts.Count > 1 && plan.Kept is null && !fromStart && random.Below(WholesPerDesign) == 0;
        var count = anew ? trial.Levels.Count : Math.Min(trial.Levels.Count, 1 + random.Below(fromStart ? 2 : 3));
        TakeOutSome(trial, count);
        if (anew) trial = new PartialPlan(instance.Layouts[random.Below(instance.Layouts.Count)], [], trial.Pool);
        var first = trial.Levels.Count;
        Build(trial);
        return mostlyRectangles || fromStart ? trial : Polished(trial, first);
    }

    // The uppermost goes first: it is as high as was left over.
    private void TakeOutSome(PartialPlan plan, int count)
    {
        for (var k = 0; k < count; k++) TakeOut(plan, instance.HasKeepOuts || k == 0 ? plan.Levels.Count - 1 : random.Below(plan.Levels.Count));
    }
}
