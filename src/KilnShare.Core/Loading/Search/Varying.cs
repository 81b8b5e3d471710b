using System.Numerics;
using KilnShare.Core.Loading.Levels;

namespace KilnShare.Core.Loading.Search;

/// <content>Changes for a search that goes on from what is a little lighter, and for beginning another.</content>
internal sealed partial class Neighbourhood
{
    // What is lost as often as not where something is gone on from that is lighter, as a part of the weight: by a small change, by a larger one.
    private const double SmallLoss = 0.00013;
    private const double LargeLoss = 0.0003;

    // Of a thousand changes; what is refilled is the rest.
    private const int Swaps = 800;
    private const int Hops = 1;
    private const int Squeezes = 10;
    private const int Replacements = 38;

    // Changes by which new levels are improved before they are compared with what has been improved for long.
    private const int Polishes = 100;

    /// <summary>True where one piece in another's stead may be a gain, and ware is best pushed about.</summary>
    public bool MayVary => !mostlyRectangles && !fromStart && valuesDiffer;

    /// <summary>
    /// A plan that differs by one change and may be gone on from; null where the change drawn does not go, or costs too much
    /// (simulated annealing at one temperature: Kirkpatrick, Gelatt and Vecchi 1983).
    /// </summary>
    public PartialPlan? Varied(PartialPlan plan)
    {
        var draw = random.Below(1000);
        if (draw < Swaps) return Swapped(Raised(plan), AnyLoss(plan, SmallLoss));
        var least = plan.Value - AnyLoss(plan, LargeLoss);
        return Changed(Raised(plan), draw - Swaps) is { } changed && changed.Value >= least ? changed : null;
    }

    private PartialPlan? Changed(PartialPlan plan, int draw)
    {
        if (draw < Hops) return Hopped(plan);
        if (draw < Hops + Squeezes) return Squeezed(plan);
        return draw < Hops + Squeezes + Replacements ? Replaced(plan) : Refilled(plan);
    }

    // Each further step of so much is half as likely; the same on every machine, which a logarithm may not be.
    private long AnyLoss(PartialPlan plan, double step) => (long)((BitOperations.LeadingZeroCount(random.Next()) + random.Unit()) * step * plan.Value);

    /// <summary>All levels built otherwise, but for what must stay.</summary>
    public PartialPlan Anew(PartialPlan plan)
    {
        var trial = plan.Copy();
        while (trial.Levels.Count > 0) TakeOut(trial, trial.Levels.Count - 1);
        if (plan.Kept is null) trial = new PartialPlan(instance.Layouts[random.Below(instance.Layouts.Count)], [], trial.Pool);
        Build(trial);
        return Improved(trial);
    }

    /// <summary>One to three levels built otherwise.</summary>
    public PartialPlan WithOtherLevels(PartialPlan plan)
    {
        var trial = plan.Copy();
        TakeOutSome(trial, Math.Min(trial.Levels.Count, 1 + random.Below(3)));
        Build(trial);
        return Improved(trial);
    }

    // By changes that cost nothing.
    private PartialPlan Improved(PartialPlan plan)
    {
        for (var i = 0; i < Polishes && !budget.Stop && !plan.Pool.IsEmpty; i++)
        {
            budget.Tick();
            var from = Raised(plan);
            if ((random.Below(1000) < Swaps ? Swapped(from, 0) : Refilled(from)) is { } changed && changed.Value >= plan.Value) plan = changed;
        }

        return plan;
    }
}
