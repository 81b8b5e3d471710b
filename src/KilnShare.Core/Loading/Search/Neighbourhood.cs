using System.Numerics;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Search;

/// <summary>Draws the moves by which a search goes from one plan to another near it.</summary>
internal sealed class Neighbourhood
{
    private readonly InstanceContext context;
    private readonly bool fromStart;
    private readonly bool valuesDiffer;
    private readonly MoveBasis basis;
    private readonly WaitingItemMoves waiting;
    private readonly DestroyAndRepair repair;
    private readonly Swap swap;
    private readonly EjectionChain chain;
    private readonly Raise raise;

    public Neighbourhood(InstanceContext context, LevelBuilder builder, bool fromStart)
    {
        (this.context, this.fromStart) = (context, fromStart);
        valuesDiffer = context.Instance.Problem.Pieces.Select(p => p.Priority).Distinct().Skip(1).Any();
        basis = new MoveBasis(context);
        waiting = new WaitingItemMoves(context, builder, basis);
        repair = new DestroyAndRepair(context, builder, basis);
        swap = new Swap(context, builder, basis);
        chain = new EjectionChain(context, builder, basis);
        raise = new Raise(context.Instance);
        Levels = new LevelRebuild(context, builder, repair, chain, raise, fromStart);
    }

    /// <summary>Moves of whole levels.</summary>
    public LevelRebuild Levels { get; }

    /// <summary>True where area counts, not value: while everything is to be placed under a lower lid.</summary>
    public bool ByArea { get; set; }

    /// <summary>True where the moves of <see cref="Varied"/> are of use: values differ, and most ware is not rectangles.</summary>
    public bool MayVary => !context.Instance.MostlyRectangles && !fromStart && valuesDiffer;

    /// <summary>A plan that differs by one move; null where the move drawn does not go.</summary>
    public PartialPlan? Near(PartialPlan plan)
    {
        var random = context.Random;
        var chances = ChancesFor(plan);
        if (random.Below(1000) < chances.Hops) return waiting.Hop(plan);
        var draw = random.Below(1000);
        if (draw < chances.Squeezes) return waiting.Squeeze(plan);
        if (draw < chances.Squeezes + chances.Rebuilds) return Levels.Try(plan);
        if (context.Instance.MostlyRectangles) return Exchanged(plan);
        return random.Below(1000) < chances.Swaps ? swap.Try(plan) : repair.Try(plan);
    }

    /// <summary>
    /// A plan that differs by one move and may be gone on from; null where the move drawn does not go, or costs too much
    /// (simulated annealing at one temperature: Kirkpatrick, Gelatt and Vecchi 1983).
    /// </summary>
    public PartialPlan? Varied(PartialPlan plan)
    {
        var draw = context.Random.Below(1000);
        if (draw < SearchTuning.Chains) return chain.Try(raise.Of(plan), AnyLoss(plan, SearchTuning.LossOfChain));
        var least = plan.Value - AnyLoss(plan, SearchTuning.LossOfOthers);
        return Other(raise.Of(plan), draw - SearchTuning.Chains) is { } changed && changed.Value >= least ? changed : null;
    }

    // Rectangles seldom gain from being pushed about, and rebuilding takes long: small moves come first. From a start plan, moves that change least
    // come first. Where all items are worth the same, swaps gain nothing: only one more item does.
    private SearchTuning.Chances ChancesFor(PartialPlan plan)
    {
        var several = plan.Levels.Count > 1;
        var layouts = context.Instance.Layouts.Count > 1;
        if (context.Instance.MostlyRectangles) return SearchTuning.OfRectangles(several);
        return fromStart || ByArea || !valuesDiffer
            ? SearchTuning.OfEqualValues(context.Options, several, layouts, fromStart)
            : SearchTuning.OfValues(several, layouts);
    }

    // Rectangles of one shelf are exchanged many times over.
    private PartialPlan? Exchanged(PartialPlan plan)
    {
        var trial = plan.Copy();
        if (basis.AnyShelves(trial) is not { } trays) return null;
        var tray = trays[context.Random.Below(trays.Count)];
        var distances = context.Instance.Distances;
        if (!RectangleSearch.CanSearch(trial.Pool, distances)) return repair.Try(plan);
        return RectangleSearch.Run(tray, trial.Pool, distances, context, context.Options.Exchanges, ByArea) ? basis.Sound(trial) : null;
    }

    private PartialPlan? Other(PartialPlan plan, int draw)
    {
        if (draw < SearchTuning.Hops) return waiting.Hop(plan);
        if (draw < SearchTuning.Hops + SearchTuning.Squeezes) return waiting.Squeeze(plan);
        return draw < SearchTuning.Hops + SearchTuning.Squeezes + SearchTuning.Swaps ? swap.Try(plan) : repair.Try(plan);
    }

    // A loss drawn by chance: each further step is half as likely. Without a logarithm, which may differ from machine to machine.
    private long AnyLoss(PartialPlan plan, double step) =>
        (long)((BitOperations.LeadingZeroCount(context.Random.Next()) + context.Random.Unit()) * step * plan.Value);
}
