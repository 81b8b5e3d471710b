using KilnShare.Core.Loading.Levels;

namespace KilnShare.Core.Loading.Search;

/// <summary>Lets levels rise into what height is left over, so that a move may put taller ware on any of them.</summary>
internal sealed class Raise(LoadInstance instance)
{
    private (PartialPlan Of, PartialPlan Raised)? last;

    /// <summary>The same plan; ware on each level may be as tall as it could be while the other levels stay as high as they are.</summary>
    public PartialPlan Of(PartialPlan plan)
    {
        if (last is { } known && ReferenceEquals(known.Of, plan)) return known.Raised;
        last = (plan, Raised(plan));
        return last.Value.Raised;
    }

    // Keep-outs and half shelves were looked at for one height alone.
    private PartialPlan Raised(PartialPlan plan)
    {
        if (instance.HasKeepOuts || plan.Levels.Exists(l => l.Halves.Count > 0) || Elevations.Of(instance, plan) is not { } lie) return plan;
        var levels = new List<Level>(plan.Levels.Count);
        for (var i = 0; i < plan.Levels.Count; i++) levels.Add(plan.Levels[i].Under(ClearHeightOver(plan, lie, i)));
        return new PartialPlan(plan.Layout, levels, plan.Pool, plan.Kept);
    }

    private long ClearHeightOver(PartialPlan plan, Elevation lie, int level)
    {
        var shelfTop = lie.Undersides[level] + plan.Levels[level].Deck.Thickness;
        if (level + 1 == plan.Levels.Count) return instance.Lid - shelfTop;
        var present = lie.Undersides[level + 1] - shelfTop;
        var clear = present + instance.Lid - lie.WareTop;
        return (instance.FromStock ? instance.Stock.AtMost(clear) ?? present : clear) - instance.Headroom;
    }
}
